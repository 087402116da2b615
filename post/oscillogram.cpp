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

/// The current vector as the rotor sees it, equally spaced, less the sustained one; its real part lies along the
/// d-axis, in the sustained current's sense.
struct Record {
  std::vector<double> time;
  Eigen::VectorXcd value;
  double sustained = 0;  // A, along the d-axis
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
  const double sense = last.real() < 0 ? -1 : 1;
  const Complex sustained = o.sustained * last / std::abs(last);
  r.value.array() -= sustained;
  r.value *= sense;
  r.sustained = sense * sustained.real();
  return r;
}

/// T'_d, T''_d, T_a, and with which part of ω the direct component turns backwards on the rotor: under 1, since the
/// armature's resistance lets it follow the rotor slowly.
using Constants = std::array<double, 4>;

/// Components along the d-axis: transient, subtransient, and both quadratures of the direct one. The damper's current
/// on the q-axis is not in them; a fit of the whole vector would take it for a part of the subtransient one.
struct Fit {
  Eigen::Vector4d amplitude;
  Eigen::VectorXd left;
};

Eigen::MatrixXd waves_of(const Record& r, const Constants& c) {
  Eigen::MatrixXd waves(r.value.size(), 4);
  for (Eigen::Index i = 0; i < r.value.size(); ++i) {
    const double t = r.time[static_cast<size_t>(i)], fade = std::exp(-t / c[2]), turned = c[3] * r.omega * t;
    waves.row(i) << std::exp(-t / c[0]), std::exp(-t / c[1]), fade * std::cos(turned), fade * std::sin(turned);
  }
  return waves;
}

Fit fit_at(const Record& r, const Constants& c) {
  const Eigen::MatrixXd waves = waves_of(r, c);
  Fit f;
  f.amplitude = waves.colPivHouseholderQr().solve(r.value.real());
  f.left = waves * f.amplitude - r.value.real();
  return f;
}

/// What is left as a function of the time constants' logarithms and the turning; the amplitudes follow (variable
/// projection).
struct Deviation {
  using Scalar = double;
  using InputType = Eigen::VectorXd;
  using ValueType = Eigen::VectorXd;
  using JacobianType = Eigen::MatrixXd;
  enum { InputsAtCompileTime = Eigen::Dynamic, ValuesAtCompileTime = Eigen::Dynamic };
  const Record& record;
  static Constants constants(const Eigen::VectorXd& x) {
    return {std::exp(x[0]), std::exp(x[1]), std::exp(x[2]), x[3]};
  }
  int inputs() const { return 4; }
  int values() const { return static_cast<int>(record.value.size()); }
  int operator()(const Eigen::VectorXd& x, Eigen::VectorXd& out) const {
    out = fit_at(record, constants(x)).left;
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
      for (double direct : {0.7, 3.0, 20.0}) {
        const Constants c = {slow * whole, fast * period, direct * period, 1};
        const double left = fit_at(r, c).left.norm();
        if (least < 0 || left < least) best = c, least = left;
      }
  const Deviation deviation{r};
  Eigen::NumericalDiff<Deviation> with_slopes(deviation);
  Eigen::LevenbergMarquardt<Eigen::NumericalDiff<Deviation>> search(with_slopes);
  search.parameters.maxfev = 600;
  search.parameters.xtol = search.parameters.ftol = 1e-12;
  Eigen::VectorXd x(4);
  x << std::log(best[0]), std::log(best[1]), std::log(best[2]), best[3];
  search.minimize(x);
  Constants c = Deviation::constants(x);
  if (c[0] < c[1]) std::swap(c[0], c[1]);
  for (int k = 0; k < 3; ++k) {
    const double tau = c[static_cast<size_t>(k)];
    if (!std::isfinite(tau) || tau > 100 * whole) throw std::invalid_argument("not every component of it decays");
  }
  return c;
}

/// The direct component as a vector at rest: what is left of the whole vector once the alternating parts, and what
/// saliency makes turn in space with twice the frequency, are taken away (linear least squares).
struct Direct {
  double start = 0;           // A
  std::vector<double> shown;  // A, along it
};

Direct direct_of(const Record& r, const Constants& c) {
  Eigen::MatrixXcd waves(r.value.size(), 4);
  for (Eigen::Index i = 0; i < r.value.size(); ++i) {
    const double t = r.time[static_cast<size_t>(i)], fade = std::exp(-t / c[2]), turned = c[3] * r.omega * t;
    waves.row(i) << std::exp(-t / c[0]), std::exp(-t / c[1]), std::polar(fade, -turned), std::polar(fade, turned);
  }
  const Eigen::Vector4cd amplitude = waves.colPivHouseholderQr().solve(r.value);
  Direct d;
  d.start = std::abs(amplitude[2]);
  for (Eigen::Index i = 0; i < r.value.size(); ++i) {
    const Complex rest =
        r.value[i] - waves(i, 0) * amplitude[0] - waves(i, 1) * amplitude[1] - waves(i, 3) * amplitude[3];
    const double turned = c[3] * r.omega * r.time[static_cast<size_t>(i)];
    d.shown.push_back(std::real(rest * std::conj(amplitude[2]) / d.start * std::polar(1.0, turned)));
  }
  return d;
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

/// The record along the d-axis less the direct component, and less the transient one where `alone`.
std::vector<double> alternating_of(const Record& r, const Constants& c, const Fit& f, bool alone) {
  const Eigen::MatrixXd waves = waves_of(r, c);
  Eigen::VectorXd rest = r.value.real() - waves.rightCols(2) * f.amplitude.tail(2);
  if (alone) rest -= waves.col(0) * f.amplitude[0];
  return {rest.data(), rest.data() + rest.size()};
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
  r.transient = f.amplitude[0];
  r.subtransient = f.amplitude[1];
  r.deviation = f.left.norm() / record.value.real().norm();
  if (!(r.transient > 0 && r.subtransient > 0))
    throw std::invalid_argument("two parts of its alternating component cannot be told apart");
  r.x_d_transient = o.voltage / (record.sustained + r.transient);
  r.x_d_subtransient = o.voltage / (record.sustained + r.transient + r.subtransient);
  r.alternating = semi_logarithmic("alternating_component", "Alternating component less the sustained current");
  add_curve(r.alternating, "alternating component less sustained current", record.time,
            alternating_of(record, c, f, false));
  add_line(r.alternating, "transient", r.transient, c[0], std::min(2 * c[0], o.time.back()), "i'0",
           "transient part at the short circuit");
  add_curve(r.alternating, "less the transient line", record.time, alternating_of(record, c, f, true));
  add_line(r.alternating, "subtransient", r.subtransient, c[1], 3 * c[1], "i''0",
           "subtransient part at the short circuit");
  const Direct direct = direct_of(record, c);
  r.direct = direct.start;
  r.direct_component = semi_logarithmic("direct_component", "Direct component of the short-circuit current");
  add_curve(r.direct_component, "direct component, space vector", record.time, direct.shown);
  add_line(r.direct_component, "armature", r.direct, c[2], 2 * c[2], "i_d0", "direct component at the short circuit");
  return r;
}

}  // namespace polepitch
