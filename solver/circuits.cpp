#include "solver/circuits.h"

#include <algorithm>
#include <cmath>
#include <numeric>

#include "geometry/error.h"
#include "solver/bar_integrals.h"

namespace polepitch {
namespace {

std::vector<int> branches_of(const Section& section, BranchKind kind) {
  std::vector<int> list;
  for (size_t b = 0; b < section.branches.size(); ++b)
    if (section.branches[b].kind == kind) list.push_back(static_cast<int>(b));
  return list;
}

/// Phase currents by loop currents of a star.
Eigen::MatrixXd star_loops(bool isolated, const std::vector<int>& closed, Eigen::Index phases) {
  const auto count = static_cast<Eigen::Index>(closed.size());
  Eigen::MatrixXd loops = Eigen::MatrixXd::Zero(phases, isolated ? std::max<Eigen::Index>(count - 1, 0) : count);
  for (Eigen::Index k = 0; k < loops.cols(); ++k) {
    loops(closed[k], k) = 1;
    if (isolated) loops(closed[count - 1], k) = -1;
  }
  return loops;
}

/// Phase currents by loop currents of a delta, whose winding k lies between the terminals k and k + 1: the windings
/// from one closed line to the next carry one current.
Eigen::MatrixXd delta_loops(const std::vector<int>& closed, Eigen::Index phases) {
  const auto count = static_cast<Eigen::Index>(closed.size());
  if (count < 2) return Eigen::MatrixXd::Ones(phases, 1);
  Eigen::MatrixXd loops = Eigen::MatrixXd::Zero(phases, count);
  for (Eigen::Index k = 0; k < count; ++k)
    for (Eigen::Index winding = closed[k]; winding % phases != closed[(k + 1) % count]; ++winding)
      loops(winding % phases, k) = 1;
  return loops;
}

struct Stator {
  Eigen::MatrixXd loops, resistance, inductance;
  Eigen::MatrixXd lines;  // line currents by loop currents
};

Stator stator_of(const StatorCircuit& c, Eigen::Index phases) {
  std::vector<int> closed;
  for (Eigen::Index k = 0; k < phases; ++k)
    if (c.closed.empty() || c.closed[k]) closed.push_back(static_cast<int>(k));
  using Connection = StatorCircuit::Connection;
  Stator s;
  s.loops = c.connection == Connection::delta ? delta_loops(closed, phases)
                                              : star_loops(c.connection == Connection::star, closed, phases);
  s.lines = s.loops;
  if (c.connection == Connection::delta)
    for (Eigen::Index k = 0; k < phases; ++k) s.lines.row((k + 1) % phases) -= s.loops.row(k);
  s.resistance = c.resistance * s.loops.transpose() * s.loops + c.line_resistance * s.lines.transpose() * s.lines;
  s.inductance = c.inductance * s.loops.transpose() * s.loops + c.line_inductance * s.lines.transpose() * s.lines;
  if (c.connection == Connection::star_with_neutral) {
    const Eigen::MatrixXd ones = Eigen::MatrixXd::Ones(s.loops.cols(), s.loops.cols());
    s.resistance += c.neutral_resistance * ones;
    s.inductance += c.neutral_inductance * ones;
  }
  return s;
}

}  // namespace

std::function<std::vector<double>(double)> balanced_source(const Section& section, double voltage, double omega,
                                                           double phase) {
  std::vector<double> axes;
  for (int b : branches_of(section, BranchKind::phase)) axes.push_back(section.pole_pairs * section.branches[b].angle);
  return [=](double t) {
    std::vector<double> u;
    for (double axis : axes) u.push_back(voltage * std::cos(omega * t + phase - axis));
    return u;
  };
}

Circuits machine_circuits(const Section& section, const StatorCircuit& stator, const FieldCircuit& field,
                          const RotorCircuit& rotor) {
  const std::vector<int> phase = branches_of(section, BranchKind::phase),
                         wound = branches_of(section, BranchKind::field),
                         rings = branches_of(section, BranchKind::rotor_phase);
  const Stator s = stator_of(stator, static_cast<Eigen::Index>(phase.size()));
  std::vector<int> all(rings.size());
  std::iota(all.begin(), all.end(), 0);
  const Eigen::MatrixXd turning = star_loops(true, all, static_cast<Eigen::Index>(rings.size()));
  const Eigen::Index own = s.loops.cols(), first = own + (wound.empty() ? 0 : 1), loops = first + turning.cols();
  Circuits c;
  c.turns = Eigen::MatrixXd::Zero(static_cast<Eigen::Index>(section.branches.size()), loops);
  c.resistance = c.inductance = Eigen::MatrixXd::Zero(loops, loops);
  c.lines = Eigen::MatrixXd::Zero(s.lines.rows(), loops);
  c.lines.leftCols(own) = s.lines;
  for (size_t k = 0; k < phase.size(); ++k) c.turns.row(phase[k]).head(own) = s.loops.row(static_cast<Eigen::Index>(k));
  c.resistance.topLeftCorner(own, own) = s.resistance;
  c.inductance.topLeftCorner(own, own) = s.inductance;
  if (!wound.empty()) {
    c.turns(wound.front(), own) = 1;
    c.resistance(own, own) = field.resistance;
    c.inductance(own, own) = field.inductance;
  }
  for (size_t k = 0; k < rings.size(); ++k)
    c.turns.row(rings[k]).tail(turning.cols()) = turning.row(static_cast<Eigen::Index>(k));
  c.resistance.bottomRightCorner(turning.cols(), turning.cols()) = rotor.resistance * turning.transpose() * turning;
  c.inductance.bottomRightCorner(turning.cols(), turning.cols()) = rotor.inductance * turning.transpose() * turning;
  c.voltage = [s, source = stator.source, field, own, first, loops](double t) {
    Eigen::VectorXd v = Eigen::VectorXd::Zero(loops);
    if (source) {
      const std::vector<double> u = source(t);
      v.head(own) =
          s.lines.transpose() * Eigen::Map<const Eigen::VectorXd>(u.data(), static_cast<Eigen::Index>(u.size()));
    }
    if (first > own) v[own] = field.voltage;
    return v;
  };
  return c;
}

std::vector<double> loop_currents(const Circuits& circuits, const std::vector<double>& branches) {
  if (circuits.turns.cols() == 0) return {};
  Eigen::VectorXd i = Eigen::VectorXd::Zero(circuits.turns.rows());
  for (size_t b = 0; b < branches.size(); ++b) i[static_cast<Eigen::Index>(b)] = branches[b];
  for (Eigen::Index b = 0; b < i.size(); ++b)
    if (circuits.turns.row(b).isZero()) i[b] = 0;  // bars
  const Eigen::VectorXd j = circuits.turns.colPivHouseholderQr().solve(i);
  return {j.data(), j.data() + j.size()};
}

/// Bars by angle in each ring, as solver/cage_circuits.h joins them: between two at one angle lies no piece's
/// impedance.
BarRing full_ring(const Section& section, const CageEnds& ends) {
  struct BarPlace {
    int ring;
    double angle;
    int bar;
  };
  std::vector<BarPlace> places;
  BarRing joined;
  for (const Branch& b : section.branches)
    if (is_bar(b.kind)) {
      places.push_back({ends.separate_rings ? b.cage : 0, b.angle, static_cast<int>(places.size())});
      joined.overhang.push_back(b.cage == 1 ? ends.outer_overhang : ends.overhang);
    }
  std::sort(places.begin(), places.end(), [](const BarPlace& p, const BarPlace& q) {
    if (p.ring != q.ring) return p.ring < q.ring;
    return std::abs(p.angle - q.angle) > 1e-9 ? p.angle < q.angle : p.bar < q.bar;
  });
  joined.pieces.resize(places.size());
  joined.next.resize(places.size());
  joined.turned.resize(places.size());
  joined.joined.assign(places.size(), true);
  size_t first = 0;  // of the ring at hand
  for (size_t k = 0; k < places.size(); ++k) {
    const bool last = k + 1 == places.size() || places[k + 1].ring != places[k].ring;
    const BarPlace& after = places[last ? first : k + 1];
    const int bar = places[k].bar;
    joined.next[bar] = after.bar;
    joined.turned[bar] = last;
    if (last || std::abs(after.angle - places[k].angle) > 1e-9)
      joined.pieces[bar] = places[k].ring == 1 ? ends.outer_ring : ends.ring;
    if (last) first = k + 1;
  }
  return joined;
}

}  // namespace polepitch
