#include "post/oscillogram.h"

#include <Eigen/Dense>
#include <algorithm>
#include <array>
#include <cmath>
#include <complex>
#include <numbers>
#include <stdexcept>
#include <unsupported/Eigen/NonLinearOptimization>
#include <unsupported/Eigen/NumericalDiff>

#include "post/tones.h"

namespace polepitch {
namespace {

using Complex = std::complex<double>;
constexpr int kPerPeriod = 64;  // samples

/// The record between its rows, linear.
Complex between(const std::vector<double>& time, const std::vector<Complex>& values, double t) {
  const auto it = std::upper_bound(time.begin(), time.end(), t);
  const size_t i = std::clamp<size_t>(static_cast<size_t>(it - time.begin()), 1, time.size() - 1);
  const double s = (t - time[i - 1]) / (time[i] - time[i - 1]);
  return values[i - 1] + s * (values[i] - values[i - 1]);
}

/// The current vector as the rotor sees it, equally spaced, less the sustained one.
struct Record {
  std::vector<double> time;
  Eigen::VectorXcd value;
  Complex axis;  // unit vector of the sustained current on the rotor
  double omega = 0;
};

Record record_of(const Oscillogram& o, double& first_peak) {
  const double period = 2 * std::numbers::pi / o.omega;
  std::vector<Complex> vectors;
  for (size_t i = 0; i < o.time.size(); ++i) {
    std::vector<double> now;
    for (const auto& phase : o.phases) {
      now.push_back(phase[i]);
      first_peak = std::max(first_peak, std::abs(phase[i]));
    }
    vectors.push_back(space_vector(now, o.axes));
  }
  Record r;
  r.omega = o.omega;
  const auto count = static_cast<Eigen::Index>(std::floor(o.time.back() / period * kPerPeriod * (1 + 1e-12))) + 1;
  r.value.resize(count);
  for (Eigen::Index i = 0; i < count; ++i) {
    const double t = period * static_cast<double>(i) / kPerPeriod;
    r.time.push_back(t);
    r.value[i] = between(o.time, vectors, t) * std::polar(1.0, -(o.omega * t + o.rotor_angle));
  }
  const Complex last = r.value.tail(kPerPeriod).mean();
  r.axis = last / std::abs(last);
  r.value.array() -= o.sustained * r.axis;
  return r;
}

/// T'_d, T''_d, T_a.
using Constants = std::array<double, 3>;

/// Best amplitudes at given time constants: transient, subtransient, direct component (it turns backwards on the
/// rotor), and what turns with twice the frequency in space for saliency's sake.
struct Fit {
  Eigen::Vector4cd amplitude;
  Eigen::VectorXcd left;
};

Eigen::MatrixXcd waves_of(const Record& r, const Constants& c) {
  Eigen::MatrixXcd waves(r.value.size(), 4);
  for (Eigen::Index i = 0; i < r.value.size(); ++i) {
    const double t = r.time[static_cast<size_t>(i)], fade = std::exp(-t / c[2]);
    waves(i, 0) = std::exp(-t / c[0]);
    waves(i, 1) = std::exp(-t / c[1]);
    waves(i, 2) = std::polar(fade, -r.omega * t);
    waves(i, 3) = std::polar(fade, r.omega * t);
  }
  return waves;
}

Fit fit_at(const Record& r, const Constants& c) {
  const Eigen::MatrixXcd waves = waves_of(r, c);
  Fit f;
  f.amplitude = waves.colPivHouseholderQr().solve(r.value);
  f.left = waves * f.amplitude - r.value;
  return f;
}

/// What is left as a function of the time constants' logarithms; the amplitudes follow (variable projection).
struct Deviation {
  using Scalar = double;
  using InputType = Eigen::VectorXd;
  using ValueType = Eigen::VectorXd;
  using JacobianType = Eigen::MatrixXd;
  enum { InputsAtCompileTime = Eigen::Dynamic, ValuesAtCompileTime = Eigen::Dynamic };
  const Record& record;
  int inputs() const { return 3; }
  int values() const { return static_cast<int>(2 * record.value.size()); }
  int operator()(const Eigen::VectorXd& logs, Eigen::VectorXd& out) const {
    const Fit f = fit_at(record, {std::exp(logs[0]), std::exp(logs[1]), std::exp(logs[2])});
    out << f.left.real(), f.left.imag();
    return 0;
  }
};

/// Least squares over the whole record (Levenberg and Marquardt), from the best of a few starts.
Constants constants_of(const Record& r) {
  const double whole = r.time.back(), period = 2 * std::numbers::pi / r.omega;
  Constants best{};
  double least = -1;
  for (double slow : {0.15, 0.4, 1.0})
    for (double fast : {0.3, 1.0})
      for (double direct : {0.7, 3.0}) {
        const Constants c = {slow * whole, fast * period, direct * period};
        const double left = fit_at(r, c).left.norm();
        if (least < 0 || left < least) best = c, least = left;
      }
  const Deviation deviation{r};
  Eigen::NumericalDiff<Deviation> with_slopes(deviation);
  Eigen::LevenbergMarquardt<Eigen::NumericalDiff<Deviation>> search(with_slopes);
  search.parameters.maxfev = 400;
  search.parameters.xtol = search.parameters.ftol = 1e-12;
  Eigen::VectorXd logs(3);
  for (int k = 0; k < 3; ++k) logs[k] = std::log(best[static_cast<size_t>(k)]);
  search.minimize(logs);
  Constants c = {std::exp(logs[0]), std::exp(logs[1]), std::exp(logs[2])};
  if (c[0] < c[1]) std::swap(c[0], c[1]);
  for (double tau : c)
    if (!std::isfinite(tau) || tau > 100 * whole) throw std::invalid_argument("not every component of it decays");
  return c;
}

Construction semi_logarithmic(const char* name, const char* title) {
  Construction c;
  c.name = name;
  c.title = title;
  c.source = "IEC 60034-4-1, sudden short circuit of three phases";
  c.x_name = "time";
  c.x_unit = "s";
  c.y_name = "logarithm (base 10) of the current in ampere";
  return c;
}

/// Down to 1 % of the beginning.
void add_curve(Construction& c, const char* what, const std::vector<double>& time, const std::vector<double>& value) {
  ConstructionLine line{what, {}, {}, ConstructionLine::Kind::curve};
  for (size_t i = 0; i < time.size() && value[i] > 0.01 * value.front(); ++i) {
    line.x.push_back(time[i]);
    line.y.push_back(std::log10(value[i]));
  }
  c.lines.push_back(std::move(line));
}

void add_line(Construction& c, const char* name, double at_start, double tau, double to, const char* point,
              const char* meaning) {
  const double start = std::log10(at_start), slope = -std::log10(std::numbers::e) / tau;
  c.lines.push_back({name, {0, to}, {start, start + slope * to}, ConstructionLine::Kind::straight});
  c.points.push_back({point, 0, start, meaning});
  if (tau < to) c.points.push_back({std::string("1/e ") + point, tau, start + slope * tau, "one time constant later"});
}

/// The record less all components but those named, along a unit vector that turns with `order` times ω on the rotor.
std::vector<double> shown(const Record& r, const Constants& c, const Fit& f, std::array<bool, 4> kept, Complex axis,
                          int order) {
  const Eigen::MatrixXcd waves = waves_of(r, c);
  std::vector<double> values;
  for (Eigen::Index i = 0; i < r.value.size(); ++i) {
    Complex left = r.value[i];
    for (int k = 0; k < 4; ++k)
      if (!kept[static_cast<size_t>(k)]) left -= waves(i, k) * f.amplitude[k];
    values.push_back(
        std::real(left * std::conj(axis) * std::polar(1.0, -order * r.omega * r.time[static_cast<size_t>(i)])));
  }
  return values;
}

}  // namespace

OscillogramConstants read_oscillogram(const Oscillogram& o) {
  const double period = 2 * std::numbers::pi / o.omega;
  if (o.time.size() < 16 || o.time.back() < 4 * period)
    throw std::invalid_argument("the oscillogram is shorter than four periods");
  OscillogramConstants r;
  const Record record = record_of(o, r.first_peak);
  const Constants c = constants_of(record);
  const Fit f = fit_at(record, c);
  r.t_d_transient = c[0], r.t_d_subtransient = c[1], r.t_a = c[2];
  r.transient = std::real(f.amplitude[0] * std::conj(record.axis));
  r.subtransient = std::real(f.amplitude[1] * std::conj(record.axis));
  r.direct = std::abs(f.amplitude[2]);
  r.deviation = f.left.norm() / record.value.norm();
  if (!(r.transient > 0 && r.subtransient > 0))
    throw std::invalid_argument("two parts of its alternating component cannot be told apart");
  r.x_d_transient = o.voltage / (o.sustained + r.transient);
  r.x_d_subtransient = o.voltage / (o.sustained + r.transient + r.subtransient);
  r.alternating = semi_logarithmic("alternating_component", "Alternating component less the sustained current");
  add_curve(r.alternating, "alternating component less sustained current", record.time,
            shown(record, c, f, {true, true, false, false}, record.axis, 0));
  add_line(r.alternating, "transient", r.transient, c[0], std::min(2 * c[0], o.time.back()), "i'0",
           "transient part at the short circuit");
  add_curve(r.alternating, "less the transient line", record.time,
            shown(record, c, f, {false, true, false, false}, record.axis, 0));
  add_line(r.alternating, "subtransient", r.subtransient, c[1], 3 * c[1], "i''0",
           "subtransient part at the short circuit");
  r.direct_component = semi_logarithmic("direct_component", "Direct component of the short-circuit current");
  add_curve(r.direct_component, "direct component, space vector", record.time,
            shown(record, c, f, {false, false, true, false}, f.amplitude[2] / r.direct, -1));
  add_line(r.direct_component, "armature", r.direct, c[2], 2 * c[2], "i_d0", "direct component at the short circuit");
  return r;
}

}  // namespace polepitch
