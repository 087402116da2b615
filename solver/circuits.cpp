#include "solver/circuits.h"

#include <algorithm>
#include <cmath>

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

/// Phase currents by loop currents.
Eigen::MatrixXd phase_loops(const StatorCircuit& c, const std::vector<int>& closed, Eigen::Index phases) {
  const auto count = static_cast<Eigen::Index>(closed.size());
  const bool isolated = c.connection == StatorCircuit::Connection::star;
  Eigen::MatrixXd loops = Eigen::MatrixXd::Zero(phases, isolated ? std::max<Eigen::Index>(count - 1, 0) : count);
  for (Eigen::Index k = 0; k < loops.cols(); ++k) {
    loops(closed[k], k) = 1;
    if (isolated) loops(closed[count - 1], k) = -1;
  }
  return loops;
}

struct Stator {
  Eigen::MatrixXd loops, resistance, inductance;
  Eigen::MatrixXd to_loops;  // loop voltages by line sources
};

Stator stator_of(const StatorCircuit& c, Eigen::Index phases) {
  std::vector<int> closed;
  for (Eigen::Index k = 0; k < phases; ++k)
    if (c.closed.empty() || c.closed[k]) closed.push_back(static_cast<int>(k));
  const bool delta = c.connection == StatorCircuit::Connection::delta;
  if (delta && !closed.empty() && static_cast<Eigen::Index>(closed.size()) != phases)
    throw InputError("a delta's lines open and close together");
  Stator s;
  s.loops = phase_loops(c, closed, phases);
  Eigen::MatrixXd lines = s.loops;  // line currents by loop currents
  if (delta && !closed.empty())     // winding k lies between the terminals k and k + 1
    for (Eigen::Index k = 0; k < phases; ++k) lines((k + 1) % phases, k) -= 1;
  const Eigen::MatrixXd own = s.loops.transpose() * s.loops, line = lines.transpose() * lines;
  s.resistance = c.resistance * own + c.line_resistance * line;
  s.inductance = c.inductance * own + c.line_inductance * line;
  if (c.connection == StatorCircuit::Connection::star_with_neutral) {
    const Eigen::MatrixXd ones = Eigen::MatrixXd::Ones(s.loops.cols(), s.loops.cols());
    s.resistance += c.neutral_resistance * ones;
    s.inductance += c.neutral_inductance * ones;
  }
  s.to_loops = lines.transpose();
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

Circuits machine_circuits(const Section& section, const StatorCircuit& stator, const FieldCircuit& field) {
  const std::vector<int> phase = branches_of(section, BranchKind::phase),
                         wound = branches_of(section, BranchKind::field);
  const Stator s = stator_of(stator, static_cast<Eigen::Index>(phase.size()));
  const Eigen::Index own = s.loops.cols(), loops = own + (wound.empty() ? 0 : 1);
  Circuits c;
  c.turns = Eigen::MatrixXd::Zero(static_cast<Eigen::Index>(section.branches.size()), loops);
  c.resistance = c.inductance = Eigen::MatrixXd::Zero(loops, loops);
  for (size_t k = 0; k < phase.size(); ++k) c.turns.row(phase[k]).head(own) = s.loops.row(static_cast<Eigen::Index>(k));
  c.resistance.topLeftCorner(own, own) = s.resistance;
  c.inductance.topLeftCorner(own, own) = s.inductance;
  if (!wound.empty()) {
    c.turns(wound.front(), own) = 1;
    c.resistance(own, own) = field.resistance;
    c.inductance(own, own) = field.inductance;
  }
  c.voltage = [s, source = stator.source, field, own, loops](double t) {
    Eigen::VectorXd v = Eigen::VectorXd::Zero(loops);
    if (source) {
      const std::vector<double> u = source(t);
      v.head(own) = s.to_loops * Eigen::Map<const Eigen::VectorXd>(u.data(), static_cast<Eigen::Index>(u.size()));
    }
    if (loops > own) v[own] = field.voltage;
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
