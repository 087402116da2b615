#include "post/axis_circuit.h"

#include <Eigen/Dense>
#include <algorithm>

namespace polepitch {
namespace {

using Complex = std::complex<double>;

Eigen::MatrixXd rotor_inductances(const AxisCircuit& c) {
  const auto n = static_cast<Eigen::Index>(c.rotor.size());
  Eigen::MatrixXd l = Eigen::MatrixXd::Constant(n, n, c.magnetising + c.series);
  for (Eigen::Index k = 0; k < n; ++k) l(k, k) += c.rotor[static_cast<size_t>(k)].inductance;
  return l;
}

Eigen::VectorXd rotor_resistances(const AxisCircuit& c) {
  Eigen::VectorXd r(static_cast<Eigen::Index>(c.rotor.size()));
  for (Eigen::Index k = 0; k < r.size(); ++k) r[k] = c.rotor[static_cast<size_t>(k)].resistance;
  return r;
}

/// Rotor currents for one ampere of the stator's.
Eigen::VectorXcd rotor_currents(const AxisCircuit& c, Complex s) {
  const Eigen::MatrixXcd z =
      s * rotor_inductances(c).cast<Complex>() + Eigen::MatrixXcd(rotor_resistances(c).cast<Complex>().asDiagonal());
  return -z.partialPivLu().solve(Eigen::VectorXcd::Constant(z.rows(), s * c.magnetising));
}

std::vector<double> falling(const Eigen::VectorXd& rising) {
  std::vector<double> list(rising.data(), rising.data() + rising.size());
  std::reverse(list.begin(), list.end());
  return list;
}

double parallel(double a, double b) {
  return a * b / (a + b);
}

}  // namespace

Complex AxisCircuit::inductance(Complex s) const {
  if (rotor.empty()) return synchronous();
  return synchronous() + magnetising * rotor_currents(*this, s).sum();
}

Complex AxisCircuit::transfer(Complex s, int k) const {
  return -rotor_currents(*this, s)[k];
}

AxisConstants axis_constants(const AxisCircuit& c) {
  AxisConstants constants;
  if (c.rotor.empty()) return constants;
  const Eigen::MatrixXd open = rotor_inductances(c);
  const double seen = c.magnetising * c.magnetising / c.synchronous();  // what a shorted stator takes away
  const Eigen::MatrixXd closed = (open.array() - seen).matrix();
  // L v = T R v with R's root: symmetric, so that the vectors are orthogonal.
  const Eigen::VectorXd root = rotor_resistances(c).cwiseSqrt().cwiseInverse();
  const auto scaled = [&](const Eigen::MatrixXd& l) -> Eigen::MatrixXd {
    return root.asDiagonal() * l * root.asDiagonal();
  };
  constants.open = falling(Eigen::SelfAdjointEigenSolver<Eigen::MatrixXd>(scaled(open)).eigenvalues());
  const Eigen::SelfAdjointEigenSolver<Eigen::MatrixXd> eigen(scaled(closed));
  constants.closed = falling(eigen.eigenvalues());
  // 1/L(s) = 1/L_0 + Σ a_k s T_k/(1 + s T_k): a_k from the share of each mode in what the rotor shows the stator.
  double inverse = 1 / c.synchronous();
  const Eigen::VectorXd shown = eigen.eigenvectors().transpose() * root;
  for (Eigen::Index k = shown.size(); k-- > 0;) {
    const double a = seen / c.synchronous() * shown[k] * shown[k] / eigen.eigenvalues()[k];
    inverse += a;
    constants.inductance.push_back(1 / inverse);
  }
  return constants;
}

AxisConstants axis_constants_by_relations(const AxisCircuit& c) {
  AxisConstants constants;
  double inside = c.magnetising, behind = parallel(c.magnetising, c.leakage);
  double group = 0;  // of the circuits so far, in parallel
  for (const RotorCircuit& r : c.rotor) {
    const double path = r.inductance;
    if (group == 0) {
      constants.open.push_back((path + c.series + inside) / r.resistance);
      constants.closed.push_back((path + c.series + behind) / r.resistance);
      group = path;
    } else {
      constants.open.push_back((path + parallel(group, c.series + inside)) / r.resistance);
      constants.closed.push_back((path + parallel(group, c.series + behind)) / r.resistance);
      group = parallel(group, path);
    }
    constants.inductance.push_back(c.leakage + parallel(c.magnetising, c.series + group));
  }
  return constants;
}

}  // namespace polepitch
