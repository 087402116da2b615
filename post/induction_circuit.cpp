#include "post/induction_circuit.h"

#include <Eigen/Dense>
#include <algorithm>
#include <cmath>
#include <stdexcept>
#include <unsupported/Eigen/NonLinearOptimization>
#include <unsupported/Eigen/NumericalDiff>

namespace polepitch {
namespace {

using Complex = std::complex<double>;
constexpr Complex j{0, 1};

/// Circuit of the logarithms x_1, x_m, r_a, and of two cages r_b, x_b.
InductionCircuit circuit_of(InductionCircuit c, const Eigen::VectorXd& logs) {
  c.x_1 = std::exp(logs[0]);
  c.x_m = std::exp(logs[1]);
  c.r_a = std::exp(logs[2]);
  c.x_2 = c.x_a = c.r_b = c.x_b = 0;
  if (c.cages == 2) {
    c.r_b = std::exp(logs[3]);
    c.x_b = std::exp(logs[4]);
  }
  return c;
}

struct Deviation {
  using Scalar = double;
  using InputType = Eigen::VectorXd;
  using ValueType = Eigen::VectorXd;
  using JacobianType = Eigen::MatrixXd;
  enum { InputsAtCompileTime = Eigen::Dynamic, ValuesAtCompileTime = Eigen::Dynamic };

  const InductionCircuit& given;
  double voltage;
  const std::vector<FieldAtSlip>& points;
  double largest;

  int inputs() const { return given.cages == 2 ? 5 : 3; }
  int values() const { return static_cast<int>(3 * points.size()); }
  int operator()(const Eigen::VectorXd& logs, Eigen::VectorXd& out) const {
    const InductionCircuit c = circuit_of(given, logs);
    for (size_t k = 0; k < points.size(); ++k) {
      const FieldAtSlip& p = points[k];
      const CircuitPoint at = circuit_at(c, p.slip, voltage);
      const Complex current = (at.current - p.current) / std::abs(p.current);
      const auto row = static_cast<Eigen::Index>(3 * k);
      out[row] = current.real();
      out[row + 1] = current.imag();
      out[row + 2] = (at.torque - p.torque) / largest;
    }
    return 0;
  }
};

/// By the impedances of the largest and the smallest slip.
Eigen::VectorXd start_of(const InductionCircuit& given, double voltage, const std::vector<FieldAtSlip>& points) {
  const auto by_size = [](const FieldAtSlip& a, const FieldAtSlip& b) { return std::abs(a.slip) < std::abs(b.slip); };
  const auto [low, high] = std::minmax_element(points.begin(), points.end(), by_size);
  const Complex locked = voltage / high->current, open = voltage / low->current;
  const double x = std::max(locked.imag(), 0.01 * std::abs(locked));
  const double r = std::max(std::abs(locked.real() - given.r_1), 0.05 * x);
  const double power = low->torque * given.omega / given.pole_pairs;  // across the gap, at the smallest slip
  const double r_low = std::abs(0.5 * given.phases * voltage * voltage * low->slip / power);
  Eigen::VectorXd logs(given.cages == 2 ? 5 : 3);
  logs[0] = std::log(x);
  logs[1] = std::log(std::max(std::abs(open) - x, x));
  logs[2] = std::log(given.cages == 2 ? 2 * std::max(r, r_low) : r_low);
  if (given.cages == 2) {
    logs[0] = std::log(0.7 * x);
    logs[3] = std::log(1.3 * r_low);
    logs[4] = std::log(0.5 * x);
  }
  return logs;
}

}  // namespace

CircuitPoint circuit_at(const InductionCircuit& c, double slip, double voltage) {
  const Complex stator{c.r_1, c.x_1}, magnetising{0, c.x_m};
  if (slip == 0) return {voltage / (stator + magnetising), 0};
  Complex cage{c.r_a / slip, c.x_a};
  if (c.cages == 2) {
    const Complex inner{c.r_b / slip, c.x_b};
    cage = cage * inner / (cage + inner);
  }
  const Complex rotor = j * c.x_2 + cage, parallel = magnetising * rotor / (magnetising + rotor);
  const Complex current = voltage / (stator + parallel);
  const double power = 0.5 * c.phases * parallel.real() * std::norm(current);  // across the gap
  return {current, power * c.pole_pairs / c.omega};
}

InductionCircuit to_t_form(const InductionCircuit& g, double x_1) {
  if (!(x_1 >= 0 && x_1 <= g.x_1)) throw std::invalid_argument("to_t_form: more stator leakage than there is leakage");
  InductionCircuit t = g;
  t.x_1 = x_1;
  t.x_m = g.x_1 + g.x_m - x_1;
  const double ratio = g.x_m / t.x_m;  // of the turns by which the rotor is referred
  t.x_2 = t.x_m * (1 / ratio - 1);
  t.r_a = g.r_a / (ratio * ratio);
  t.r_b = g.r_b / (ratio * ratio);
  t.x_b = g.x_b / (ratio * ratio);
  return t;
}

std::vector<RotorBranch> parallel_branches(const InductionCircuit& c) {
  if (c.cages == 1) return {{c.r_a, c.x_2 + c.x_a}};
  // s times the impedance, over p = js: X_2 p + (R_a + X_a p)(R_b + X_b p) / (R_a + R_b + (X_a + X_b) p) = N/D
  const double square = c.x_2 * (c.x_a + c.x_b) + c.x_a * c.x_b;
  const double linear = c.x_2 * (c.r_a + c.r_b) + c.r_a * c.x_b + c.r_b * c.x_a, constant = c.r_a * c.r_b;
  const double root = linear * linear - 4 * square * constant;
  if (!(square > 0 && root > 0)) throw std::invalid_argument("parallel_branches: the cages have no common leakage");
  std::vector<RotorBranch> branches;
  const double slow = -2 * constant / (linear + std::sqrt(root)), fast = constant / square / slow;
  for (const auto& [pole, other] : {std::pair{slow, fast}, std::pair{fast, slow}}) {
    const double residue = (c.r_a + c.r_b + (c.x_a + c.x_b) * pole) / (square * (pole - other));
    branches.push_back({-pole / residue, 1 / residue});
  }
  std::sort(branches.begin(), branches.end(), [](const RotorBranch& a, const RotorBranch& b) { return a.r < b.r; });
  return branches;
}

InductionCircuit fit_circuit(const InductionCircuit& given, double voltage, const std::vector<FieldAtSlip>& points) {
  if (points.size() < 3 * static_cast<size_t>(given.cages)) throw std::invalid_argument("fit_circuit: too few points");
  double largest = 0;
  for (const FieldAtSlip& p : points) largest = std::max(largest, std::abs(p.torque));
  const Deviation deviation{given, voltage, points, largest};
  Eigen::NumericalDiff<Deviation, Eigen::Central> differences(deviation);
  Eigen::LevenbergMarquardt<Eigen::NumericalDiff<Deviation, Eigen::Central>> method(differences);
  method.parameters.maxfev = 2000;
  Eigen::VectorXd logs = start_of(given, voltage, points);
  method.minimize(logs);
  return circuit_of(given, logs);
}

}  // namespace polepitch
