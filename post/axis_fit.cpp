#include "post/axis_fit.h"

#include <Eigen/Dense>
#include <algorithm>
#include <cmath>
#include <stdexcept>
#include <unsupported/Eigen/NonLinearOptimization>
#include <unsupported/Eigen/NumericalDiff>

namespace polepitch {
namespace {

using Complex = std::complex<double>;

/// Order of the unknowns: logarithms of each circuit's inductance and resistance (that of a field winding is held),
/// then L_f1d over the leakage.
struct Deviation {
  using Scalar = double;
  using InputType = Eigen::VectorXd;
  using ValueType = Eigen::VectorXd;
  using JacobianType = Eigen::MatrixXd;
  enum { InputsAtCompileTime = Eigen::Dynamic, ValuesAtCompileTime = Eigen::Dynamic };

  const AxisResponse& data;
  AxisStructure structure;

  bool wound() const { return data.field_resistance > 0; }
  int inputs() const { return 2 * structure.circuits - (wound() ? 1 : 0) + (structure.unequal ? 1 : 0); }
  int values() const { return static_cast<int>(2 * (data.inductance.size() + data.transfer.size())); }

  AxisCircuit circuit(const Eigen::VectorXd& unknowns) const {
    AxisCircuit c{data.leakage, data.synchronous - data.leakage, 0, {}};
    Eigen::Index at = 0;
    for (int k = 0; k < structure.circuits; ++k) {
      RotorCircuit r{std::exp(unknowns[at++]), data.field_resistance};
      if (k > 0 || !wound()) r.resistance = std::exp(unknowns[at++]);
      c.rotor.push_back(r);
    }
    if (structure.unequal) c.series = data.leakage * unknowns[at];
    return c;
  }

  int operator()(const Eigen::VectorXd& unknowns, Eigen::VectorXd& out) const {
    const AxisCircuit c = circuit(unknowns);
    Eigen::Index row = 0;
    const auto put = [&](Complex difference) {
      out[row++] = difference.real();
      out[row++] = difference.imag();
    };
    for (size_t k = 0; k < data.omega.size(); ++k) {
      const Complex s{0, data.omega[k]};
      put((c.inductance(s) - data.inductance[k]) / std::abs(data.inductance[k]));
      if (!data.transfer.empty()) put(c.transfer(s) - data.transfer[k]);
    }
    return 0;
  }
};

/// Starts: leakages of the size that the inductance at the top leaves, resistances for time constants over the band.
std::vector<Eigen::VectorXd> starts_of(const Deviation& d) {
  const AxisResponse& data = d.data;
  const double magnetising = data.synchronous - data.leakage;
  const double top = std::max(std::real(data.inductance.back()) - data.leakage, 0.02 * data.leakage);
  const double path = std::max(
      0.05 * magnetising, std::min(top * magnetising / std::max(magnetising - top, 1e-3 * magnetising), magnetising));
  const double low = std::log(data.omega.front()), high = std::log(data.omega.back());
  constexpr int kPlaces = 7;
  std::vector<Eigen::VectorXd> starts;
  const auto resistance = [&](int place) {  // corner frequency of a circuit of inductance L_m + path
    return std::log(magnetising + path) + low + (high - low) * (place + 0.5) / kPlaces;
  };
  for (int first = 0; first < kPlaces; ++first)
    for (int second = first + 1; second <= kPlaces; ++second) {
      const bool two = d.structure.circuits > 1;
      if ((!two && second > first + 1) || (two && d.wound() && first > 0) || (two && second == kPlaces)) continue;
      Eigen::VectorXd x = Eigen::VectorXd::Zero(d.inputs());
      Eigen::Index at = 0;
      for (int k = 0; k < d.structure.circuits; ++k) {
        x[at++] = std::log(two ? 2 * path : path);
        if (k > 0 || !d.wound()) x[at++] = resistance(k == 0 ? first : second);
      }
      starts.push_back(x);
      if (d.structure.circuits == 1 && d.wound()) return starts;
    }
  return starts;
}

void judge(const AxisResponse& data, AxisFit& fit) {
  double square = 0, transfer = 0;
  for (size_t k = 0; k < data.omega.size(); ++k) {
    const Complex s{0, data.omega[k]};
    fit.residual.push_back((fit.circuit.inductance(s) - data.inductance[k]) / std::abs(data.inductance[k]));
    square += std::norm(fit.residual.back());
    fit.worst = std::max(fit.worst, std::abs(fit.residual.back()));
    if (!data.transfer.empty()) transfer += std::norm(fit.circuit.transfer(s) - data.transfer[k]);
  }
  const auto count = static_cast<double>(data.omega.size());
  fit.deviation = std::sqrt(square / count);
  fit.transfer_deviation = std::sqrt(transfer / count);
}

}  // namespace

AxisFit fit_axis(const AxisResponse& data, const AxisStructure& structure) {
  const bool wound = data.field_resistance > 0;
  if (data.omega.empty() || data.omega.size() != data.inductance.size() ||
      (!data.transfer.empty() && data.transfer.size() != data.omega.size()) || (data.transfer.empty() && wound))
    throw std::invalid_argument("fit_axis: lists of unequal length");
  if (!(data.leakage > 0 && data.synchronous > data.leakage))
    throw std::invalid_argument("fit_axis: no magnetising inductance is left");
  AxisFit fit{structure, {data.leakage, data.synchronous - data.leakage, 0, {}}, {}};
  if (structure.circuits > 0) {
    const Deviation deviation{data, structure};
    Eigen::NumericalDiff<Deviation, Eigen::Central> differences(deviation);
    double least = 1e300;
    for (Eigen::VectorXd x : starts_of(deviation)) {
      Eigen::LevenbergMarquardt<Eigen::NumericalDiff<Deviation, Eigen::Central>> method(differences);
      method.parameters.maxfev = 400 * deviation.inputs();
      method.parameters.xtol = method.parameters.ftol = 1e-12;
      method.minimize(x);
      if (!(method.fnorm < least)) continue;
      least = method.fnorm;
      fit.circuit = deviation.circuit(x);
    }
    const auto first = fit.circuit.rotor.begin() + (wound ? 1 : 0);
    std::sort(first, fit.circuit.rotor.end(), [](const RotorCircuit& a, const RotorCircuit& b) {
      return a.inductance / a.resistance > b.inductance / b.resistance;
    });
  }
  judge(data, fit);
  return fit;
}

size_t choose_structure(const std::vector<AxisFit>& fits, double enough) {
  size_t best = 0;
  const auto good = [enough](const AxisFit& f) { return f.deviation <= enough; };
  // Of two good ones. L_f1d is no further circuit, but it is a further element.
  const auto simpler = [](const AxisFit& f, const AxisFit& than) {
    if (f.structure.circuits != than.structure.circuits) return f.structure.circuits < than.structure.circuits;
    return f.structure.unequal ? 2 * f.deviation <= than.deviation : f.deviation < 2 * than.deviation;
  };
  for (size_t k = 1; k < fits.size(); ++k) {
    const bool better = good(fits[k]) != good(fits[best]) ? good(fits[k])
                        : good(fits[k])                   ? simpler(fits[k], fits[best])
                                                          : fits[k].deviation < fits[best].deviation;
    if (better) best = k;
  }
  return best;
}

}  // namespace polepitch
