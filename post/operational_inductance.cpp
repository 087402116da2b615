#include "post/operational_inductance.h"

#include <Eigen/Dense>

namespace polepitch {
namespace {

using Complex = std::complex<double>;

/// Voltages a metre of the bars for one unit of each source (bars × sources): every bar's current is what its rings
/// carry to and from it. I_k = σS u_k − s (H i + H u)_k, and over each piece L (u_next − u) = 2 z J.
Eigen::MatrixXcd bar_voltages(const Eigen::MatrixXcd& h, const StandstillModes& modes, const StandstillCircuit& c,
                              Complex s) {
  const Eigen::Index sources = modes.sources(), bars = h.rows() - sources;
  Eigen::MatrixXcd matrix = Eigen::MatrixXcd::Zero(2 * bars, 2 * bars), right(2 * bars, sources);
  matrix.topLeftCorner(bars, bars) = -s * h.bottomRightCorner(bars, bars);
  right.setZero();
  right.topRows(bars) = s * h.bottomLeftCorner(bars, sources);
  for (Eigen::Index k = 0; k < bars; ++k) {
    matrix(k, k) += modes.bar_conductance[static_cast<size_t>(k)];
    const Eigen::Index next = (k + 1) % bars, row = bars + k;
    const double sign = k + 1 == bars ? c.sign : 1;
    matrix(k, row) -= 1;
    matrix(next, row) += sign;
    const RingPiece piece = c.rings.empty() ? RingPiece{false} : c.rings[static_cast<size_t>(k)];
    if (piece.joined) {
      matrix(row, next) += sign * c.length;
      matrix(row, k) -= c.length;
      matrix(row, row) -= 2.0 * (piece.resistance + s * piece.inductance);
    } else {
      matrix(row, row) = 1;
    }
  }
  // Rings without impedance and frequency 0 leave rows that say the same: any of the solutions has these voltages.
  return matrix.completeOrthogonalDecomposition().solve(right).topRows(bars);
}

/// Linkages of the whole machine by the sources' currents, bars let go, and the bars' voltages beside.
struct Reduced {
  Eigen::MatrixXcd inductance, bars;
};

Reduced reduce(const StandstillModes& modes, const StandstillCircuit& c, Complex s) {
  const std::vector<Complex> list = modes.at(s);
  const Eigen::MatrixXcd h = Eigen::Map<const Eigen::MatrixXcd>(list.data(), modes.inputs, modes.inputs);
  const Eigen::Index sources = modes.sources(), bars = h.rows() - sources;
  Reduced r;
  r.inductance = h.topLeftCorner(sources, sources);
  if (bars > 0) {
    r.bars = bar_voltages(h, modes, c, s);
    r.inductance += h.topRightCorner(sources, bars) * r.bars;
  }
  r.inductance *= c.sectors * c.length;
  const double share = 2.0 / c.phases;
  r.inductance.row(0) *= share;
  r.inductance.row(1) *= share;
  r.inductance(0, 0) += c.end_winding;
  r.inductance(1, 1) += c.end_winding;
  if (c.field) r.inductance(2, 2) += c.field_end_inductance;
  return r;
}

}  // namespace

OperationalInductances operational_inductances(const StandstillModes& modes, const StandstillCircuit& c, Complex s) {
  const Eigen::MatrixXcd l = reduce(modes, c, s).inductance;
  OperationalInductances result{l(0, 0), l(1, 1), l(0, 0), l(0, 1), 0.0, 0.0};
  if (!c.field) return result;
  const Complex loop = c.field_resistance + s * l(2, 2);
  result.d -= s * l(0, 2) * l(2, 0) / loop;
  result.q -= s * l(1, 2) * l(2, 1) / loop;
  result.dq -= s * l(0, 2) * l(2, 1) / loop;
  result.g = l(0, 2) / loop;
  result.af = l(2, 0);
  return result;
}

StandstillInputs standstill_inputs(const StandstillModes& modes, const StandstillCircuit& c, Complex s) {
  const Reduced r = reduce(modes, c, s);
  const Eigen::Index sources = modes.sources();
  StandstillInputs inputs;
  for (Eigen::Index axis : {0, 1}) {
    Eigen::VectorXcd currents = Eigen::VectorXcd::Zero(sources);
    currents[axis] = 1;
    if (c.field) currents[2] = -s * r.inductance(2, axis) / (c.field_resistance + s * r.inductance(2, 2));
    std::vector<Complex>& list = axis == 0 ? inputs.d : inputs.q;
    list.assign(currents.data(), currents.data() + sources);
    if (r.bars.rows() == 0) continue;
    const Eigen::VectorXcd bars = r.bars * currents;
    list.insert(list.end(), bars.data(), bars.data() + bars.size());
  }
  return inputs;
}

}  // namespace polepitch
