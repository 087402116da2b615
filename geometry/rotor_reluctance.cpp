// Synchronous reluctance: several flux barriers a pole, arcs or straight pieces, with bridges and ribs. The d-axis is
// the one of the greatest permeance; the barriers lie across the q-axis.
#include <algorithm>
#include <cmath>
#include <numbers>

#include <fmt/format.h>

#include "geometry/flux_barrier.h"
#include "geometry/side_types.h"

namespace polepitch {

namespace {

constexpr double pi = std::numbers::pi;

double radius(const Machine& machine, double bore) {
  return bore - machine.rotor.values.number("air_gap");
}

std::vector<FluxBarrier> barriers_of(const Machine& machine, double bore) {
  const Values& v = machine.rotor.values;
  std::vector<FluxBarrier> list;
  const double half_pitch = pi / (2 * machine.pole_pairs());
  for (std::size_t i = 0; i < v.numbers("barrier_depths").size(); ++i) {
    FluxBarrier b;
    b.straight = v.text("barrier_shape") == "straight";
    b.end_radius = radius(machine, bore) - v.number("bridge");
    b.top = radius(machine, bore) - v.numbers("barrier_depths")[i];
    b.bottom = b.top - v.numbers("barrier_thicknesses")[i];
    b.end_angle = v.numbers("barrier_spans")[i] * half_pitch;
    b.leg_angle = std::min(half_pitch, pi / 3);
    b.half_rib = v.number("rib") / 2;
    list.push_back(b);
  }
  return list;
}

bool lists_agree(const Machine& machine) {
  const Values& v = machine.rotor.values;
  const std::size_t count = v.numbers("barrier_depths").size();
  return count >= 1 && count <= 6 && v.numbers("barrier_thicknesses").size() == count &&
         v.numbers("barrier_spans").size() == count;
}

/// The rib is 0 or wide enough to be drawn.
bool is_rib(const Machine& machine) {
  const double rib = machine.rotor.values.number("rib");
  return rib <= 0 || rib >= least_iron;
}

// What is wrong with one barrier, then between it and the one outside of it.
std::vector<Misfit> search(const Machine& machine, double bore) {
  const PoleRoom room{radius(machine, bore), shaft_radius(machine), pi / (2 * machine.pole_pairs())};
  std::vector<Misfit> found;
  if (!is_rib(machine)) return {{"rib", "is too thin to be drawn"}};
  std::vector<std::vector<PolePart>> parts;
  const std::vector<FluxBarrier> barriers = barriers_of(machine, bore);
  for (int i = 0; i < static_cast<int>(barriers.size()); ++i) {
    const std::string wrong = why_not_drawable(barriers[i]);
    parts.push_back(wrong.empty() ? barrier_parts(barriers[i], i) : std::vector<PolePart>{});
    if (!wrong.empty()) found.push_back({"barrier_spans", wrong, i});
    for (Misfit m :
         misfits(parts.back(), room, {"bridge", "barrier_depths", "barrier_spans", "rib", "barrier_spans"})) {
      if (m.parameter != "bridge" && m.parameter != "rib") m.entry = i;
      found.push_back(m);
    }
    if (i == 0 || !found.empty()) continue;
    for (const PolePart& a : parts[i])
      for (const PolePart& b : parts[i - 1])
        if (least_distance(a.outline, b.outline) < least_iron && found.empty())
          found.push_back({"barrier_depths", "leaves no iron between this barrier and the one outside of it", i});
  }
  return found;
}

void check(const Machine& machine, double bore, Faults& faults) {
  if (!check_rotor_fits(machine, bore, faults)) return;
  const Values& v = machine.rotor.values;
  if (!lists_agree(machine)) {
    faults.push_back(
        {v.place("barrier_depths"),
         fmt::format("rotor.barrier_depths, barrier_thicknesses and barrier_spans list {}, {} and {} values",
                     v.numbers("barrier_depths").size(), v.numbers("barrier_thicknesses").size(),
                     v.numbers("barrier_spans").size()),
         "give each 1 to 6 values, one a barrier, from the outside to the inside"});
    return;
  }
  report_misfits(
      machine, reluctance_parameters(), [bore](const Machine& m) { return search(m, bore); }, faults);
}

Symmetry symmetry(const Machine& machine) {
  return {2 * machine.pole_pairs(), 0};
}

void add_gauges(const Plan& plan, SideDrawing& drawing, const std::vector<FluxBarrier>& barriers, double axis,
                int pole) {
  const auto add = [&](Gauge::Part part, const std::string& what, Point from, Point to) {
    drawing.gauges.push_back(
        single_cut(part, fmt::format("{}, pole {}", what, pole + 1), turned(from, axis), turned(to, axis)));
  };
  double above = plan.rotor_radius;
  for (std::size_t i = 0; i < barriers.size(); ++i) {
    const FluxBarrier& b = barriers[i];
    const Point top = on_axis(b, true), bottom = on_axis(b, false);
    add(Gauge::Part::pole_core, fmt::format("flux guide {}", i + 1), top, {above, top.y});
    above = bottom.x;
    const double middle = (b.end_angle + far_end_angle(b)) / 2;
    for (int hand : {1, -1})
      add(Gauge::Part::bridge, fmt::format("{} bridge of barrier {}", hand > 0 ? "left" : "right", i + 1),
          polar(b.end_radius, hand * middle), polar(plan.rotor_radius, hand * middle));
    const double x = (top.x + bottom.x) / 2;
    if (b.half_rib > 0)
      add(Gauge::Part::bridge, fmt::format("rib of barrier {}", i + 1), {x, -b.half_rib}, {x, b.half_rib});
  }
  const Point last = on_axis(barriers.back(), false);
  add(Gauge::Part::rotor_yoke, "rotor yoke under the barriers",
      polar(shaft_radius(*plan.machine), std::atan2(last.y, last.x)), last);
}

void add_dimensions(const Plan& plan, SideDrawing& drawing, const std::vector<FluxBarrier>& barriers, double axis) {
  const Block& rotor = plan.machine->rotor;
  const auto at = [&](double x, double y) { return turned({x, y}, axis); };
  for (std::size_t i = 0; i < barriers.size(); ++i) {
    const FluxBarrier& b = barriers[i];
    const int entry = static_cast<int>(i);
    add_dimension(drawing, rotor, "barrier_thicknesses", at(b.bottom, 0), at(b.top, 0), entry);
    // Side by side, so that they can be told apart.
    const double y = (static_cast<double>(i) + 1) * 0.03 * plan.rotor_radius;
    add_dimension(drawing, rotor, "barrier_depths", at(b.top, -y), at(plan.rotor_radius, -y), entry);
  }
  const FluxBarrier& b = barriers.front();
  const double middle = (b.end_angle + far_end_angle(b)) / 2, x = (b.top + b.bottom) / 2;
  add_dimension(drawing, rotor, "bridge", polar(b.end_radius, axis + middle), polar(plan.rotor_radius, axis + middle));
  if (b.half_rib > 0) add_dimension(drawing, rotor, "rib", at(x, -b.half_rib), at(x, b.half_rib));
}

void draw(const Plan& plan, SideDrawing& drawing) {
  const Machine& machine = *plan.machine;
  const std::vector<FluxBarrier> barriers = barriers_of(machine, plan.stator_radius);
  const std::vector<double> axes = draw_round_core(plan, drawing, pi / (2 * machine.pole_pairs()));
  add_dimensions(plan, drawing, barriers, axes.front());
  for (int j = 0; j < static_cast<int>(axes.size()); ++j) {
    for (int i = 0; i < static_cast<int>(barriers.size()); ++i)
      draw_parts(drawing, barrier_parts(barriers[i], i), axes[j], j);
    add_gauges(plan, drawing, barriers, axes[j], j);
  }
}

}  // namespace

const RotorType& reluctance_rotor() {
  static const RotorType type{
      {"reluctance",
       "Synchronous reluctance: flux barriers across the q-axis of each pole, with bridges and ribs; the d-axis is the "
       "one of the greatest permeance.",
       reluctance_parameters(), false},
      radius,
      check,
      symmetry,
      draw};
  return type;
}

}  // namespace polepitch
