// Machine → Section: settle symmetry and gap, let both sides draw their sector, arrange, and note what later steps
// look for: gap circles, edges, boundaries.
#include <algorithm>
#include <cmath>
#include <map>
#include <numbers>
#include <numeric>
#include <optional>
#include <set>

#include <fmt/format.h>

#include "geometry/drawing.h"
#include "geometry/drawing_faults.h"
#include "geometry/section.h"

namespace polepitch {

namespace {

constexpr double pi = std::numbers::pi;
constexpr double tolerance = 1e-9;  // m

WindingLayout layout_of(const Machine& machine, const Block& winding, int slots, Faults& faults) {
  if (winding.present) try {
      return lay_out_winding(winding, slots, machine.pole_pairs());
    } catch (const InputError& error) {
      faults.insert(faults.end(), error.diagnostics().begin(), error.diagnostics().end());
    }
  WindingLayout none;
  none.phases = 0;
  none.slots = slots;
  none.pole_pairs = machine.pole_pairs();
  return none;
}

void check_gap(const Machine& machine, double stator, double rotor, Faults& faults) {
  const double gap = rotor_outside(machine) ? rotor - stator : stator - rotor;
  if (rotor <= 0 || gap <= 0) return;  // the rotor type says so
  const double smallest = 0.05e-3;
  if (gap < smallest)
    faults.push_back({machine.rotor.place, fmt::format("the air gap is {}, too thin to be meshed", millimetres(gap)),
                      fmt::format("at least {}", rounded_up(smallest))});
}

template <class Type>
std::string names_of(const std::vector<const Type*>& types, bool rotor_outside) {
  std::vector<std::string> names;
  for (const Type* type : types)
    if (type->entry.rotor_outside == rotor_outside) names.push_back(type->entry.name);
  return fmt::format("{}", fmt::join(names, ", "));
}

// One side lies inside the other.
void check_places(const Machine& machine, const CatalogueEntry& stator, const CatalogueEntry& rotor) {
  if (stator.rotor_outside == rotor.rotor_outside) return;
  const bool outside = rotor.rotor_outside;
  throw InputError(fmt::format("rotor.type = \"{}\" turns {} its stator, but stator.type = \"{}\" lies {} its rotor",
                               rotor.name, outside ? "around" : "inside", stator.name, outside ? "around" : "inside"),
                   fmt::format("take a stator {} the rotor ({}), or a rotor {} the stator ({})",
                               outside ? "inside" : "around", names_of(stator_types(), outside),
                               outside ? "inside" : "around", names_of(rotor_types(), stator.rotor_outside)),
                   machine.rotor.place);
}

int sign_of(const Symmetry& part, int sectors) {
  return part.sign == 0 ? 0 : part.sign > 0 || (part.sectors / sectors) % 2 == 0 ? 1 : -1;
}

// The largest number of sectors that every part repeats in, with one sign for all of them.
Symmetry common_symmetry(const std::vector<Symmetry>& parts, int pole_pairs) {
  int largest = 0;
  for (const Symmetry& part : parts) largest = std::gcd(largest, part.sectors);
  if (largest == 0) largest = 2 * pole_pairs;
  for (int sectors = largest; sectors > 1; --sectors) {
    if (largest % sectors != 0) continue;
    int sign = 0;
    bool agree = true;
    for (const Symmetry& part : parts) {
      const int own = sign_of(part, sectors);
      if (own != 0 && sign != 0 && own != sign) agree = false;
      if (own != 0) sign = own;
    }
    const bool whole_poles = 2 * pole_pairs % sectors == 0;
    if (sign == 0) sign = whole_poles && (2 * pole_pairs / sectors) % 2 ? -1 : 1;
    if (agree && whole_poles) return {sectors, sign};
  }
  return {1, 1};
}

// Faults of both sides' drawings are told together where they are in one file; otherwise the stator's first.
template <class Check>
void look_at(Check check, std::optional<DrawingError>& drawn) {
  try {
    check();
  } catch (const DrawingError& error) {
    if (drawn && drawn->drawing->path != error.drawing->path) return;
    std::vector<DrawingFault> all = drawn ? drawn->faults : std::vector<DrawingFault>{};
    all.insert(all.end(), error.faults.begin(), error.faults.end());
    drawn.emplace(*error.drawing, std::move(all));
  }
}

Plan make_plan(const Machine& machine) {
  const StatorType& stator = stator_type(machine.stator);
  const RotorType& rotor = rotor_type(machine.rotor);
  check_places(machine, stator.entry, rotor.entry);
  Faults faults;
  Plan plan;
  plan.machine = &machine;
  plan.stator_radius = stator_radius(machine);
  plan.rotor_radius = rotor.radius(machine, plan.stator_radius);
  plan.winding = layout_of(machine, machine.winding, stator.slots(machine.stator), faults);
  if (rotor.entry.takes_winding)
    plan.rotor_winding = layout_of(machine, machine.rotor_winding, machine.rotor.values.integer("slots"), faults);
  plan.wound = !plan.winding.sides.empty();
  std::optional<DrawingError> drawn;
  look_at([&] { stator.check(machine, faults); }, drawn);
  look_at([&] { rotor.check(machine, plan.stator_radius, faults); }, drawn);
  if (drawn && faults.empty()) throw *drawn;
  check_gap(machine, plan.stator_radius, plan.rotor_radius, faults);
  if (!faults.empty()) throw InputError(std::move(faults));
  std::vector<Symmetry> parts = {stator.symmetry(machine), rotor.symmetry(machine)};
  for (const WindingLayout* layout : {&plan.winding, &plan.rotor_winding}) {
    if (layout->sides.empty()) continue;
    const Repetition r = repetition(*layout);
    parts.push_back({r.sectors, r.sign});
  }
  const Symmetry common = common_symmetry(parts, machine.pole_pairs());
  plan.sectors = common.sectors;
  plan.sign = common.sign;
  return plan;
}

SideDrawing start_drawing(const Plan& plan, Side side) {
  SideDrawing drawing;
  drawing.side = side;
  drawing.sector_angle = plan.sector_angle();
  drawing.closed = plan.sectors == 1;
  const double third = (plan.stator_radius - plan.rotor_radius) / 3;
  drawing.gap_radius = side == Side::stator ? plan.stator_radius - third : plan.rotor_radius + third;
  const Side outer = plan.rotor_outside() ? Side::rotor : Side::stator;
  if (side == outer && drawing.closed) add_empty_label(drawing.sketch, "inside of the gap circle", {0, 0});
  return drawing;
}

// Angle of p from `start`, in [−tiny, 2π).
double angle_from(double start, Point p) {
  const double angle = std::remainder(std::atan2(p.y, p.x) - start, 2 * pi);
  return angle < -1e-7 ? angle + 2 * pi : angle;
}

std::vector<int> circle_curves(const SideSection& side, double radius) {
  std::vector<std::pair<double, int>> found;
  for (int i = 0; i < static_cast<int>(side.curves.size()); ++i) {
    const Curve& c = side.curves[i];
    if (!c.arc || std::hypot(c.centre.x, c.centre.y) > tolerance) continue;
    const Point p = side.points[c.start];
    if (std::abs(std::hypot(p.x, p.y) - radius) <= tolerance) found.push_back({angle_from(side.start_angle, p), i});
  }
  std::sort(found.begin(), found.end());
  std::vector<int> curves;
  for (const auto& [angle, i] : found) curves.push_back(i);
  return curves;
}

std::vector<int> edge_curves(const SideSection& side, double angle) {
  const Point along = polar(1, angle);
  const auto on_edge = [&](Point p) { return std::abs(cross(along, p)) <= tolerance && dot(along, p) >= -tolerance; };
  std::vector<std::pair<double, int>> found;
  for (int i = 0; i < static_cast<int>(side.curves.size()); ++i) {
    const Curve& c = side.curves[i];
    if (!c.arc && on_edge(side.points[c.start]) && on_edge(side.points[c.end]))
      found.push_back({dot(along, side.points[c.start]), i});
  }
  std::sort(found.begin(), found.end());
  std::vector<int> curves;
  for (const auto& [radius, i] : found) curves.push_back(i);
  return curves;
}

void check_edges(const SideSection& side) {
  bool match = side.start_edge.size() == side.end_edge.size();
  for (std::size_t i = 0; match && i < side.start_edge.size(); ++i) {
    const Curve &a = side.curves[side.start_edge[i]], &b = side.curves[side.end_edge[i]];
    for (auto [p, q] : {std::pair{a.start, b.start}, std::pair{a.end, b.end}}) {
      const Point u = side.points[p], v = side.points[q];
      match = match && std::abs(std::hypot(u.x, u.y) - std::hypot(v.x, v.y)) <= tolerance;
    }
  }
  if (!match) throw GeometryError("the two edges of the sector do not match");
}

// Moves a side's own branch numbers behind those already there.
void add_side(Section& section, SideDrawing drawing) {
  Arrangement arranged = arrange(drawing.sketch, tolerance);
  SideSection& side = section.sides[static_cast<int>(drawing.side)];
  side.points = std::move(arranged.points);
  side.curves = std::move(arranged.curves);
  side.start_angle = drawing.start_angle;
  side.gap_radius = drawing.gap_radius;
  side.far_radius = drawing.far_radius;
  side.gap_curves = circle_curves(side, side.gap_radius);
  if (side.far_radius > 0) side.far_curves = circle_curves(side, side.far_radius);
  if (!drawing.closed) {
    side.start_edge = edge_curves(side, drawing.start_angle);
    side.end_edge = edge_curves(side, drawing.start_angle + drawing.sector_angle);
    check_edges(side);
  }
  const int first = drawing.side == Side::stator ? 0 : static_cast<int>(section.branches.size());
  for (Region& region : arranged.regions) {
    if (region.branch >= 0) region.branch += first;
    section.regions.push_back(std::move(region));
  }
  section.branches.insert(section.branches.end(), drawing.branches.begin(), drawing.branches.end());
  section.gauges.insert(section.gauges.end(), drawing.gauges.begin(), drawing.gauges.end());
}

void add_phases(Section& section) {
  const WindingLayout& winding = section.winding;
  for (int k = 0; k < winding.phases; ++k)
    section.branches.push_back({phase_name(k), BranchKind::phase, phase_axis(winding.phases, k) / section.pole_pairs});
}

void set_boundaries(Section& section, const Machine& machine) {
  section.outer = machine.general.values.text("outer_boundary") == "open" ? FarBoundary::open : FarBoundary::zero;
  // Where neighbours are opposite, the constant on the inner circle can only be 0.
  section.inner = section.sign < 0 ? FarBoundary::zero : FarBoundary::floating;
}

void add_diameter(std::vector<Dimension>& list, Side side, const Block& block, const std::string& key, double value) {
  if (value <= 0) return;
  const bool stated = block.values.has(key) && std::abs(block.values.number(key) - value) < tolerance;
  std::string name = key;
  std::replace(name.begin(), name.end(), '_', ' ');
  const Point at{value / 2, 0};
  list.push_back({name, stated ? block.path + "." + key : "", side, at, {-at.x, 0}, true});
}

void add_stator_diameters(std::vector<Dimension>& list, const Plan& plan, const SideDrawing& stator) {
  const Block& block = plan.machine->stator;
  const auto add = [&](const char* key, double value) { add_diameter(list, Side::stator, block, key, value); };
  if (plan.rotor_outside()) {
    add("outer_diameter", 2 * plan.stator_radius);
    add("inner_diameter",
        block.values.has("inner_diameter") ? block.values.number("inner_diameter") : 2 * stator.far_radius);
    return;
  }
  // Around a drawn core there may be air up to the far circle.
  if (block.values.has("outer_diameter")) add("outer_diameter", 2 * stator.far_radius);
  add("bore_diameter", 2 * plan.stator_radius);
}

void add_rotor_diameters(std::vector<Dimension>& list, const Plan& plan, const SideDrawing& rotor) {
  const Block& block = plan.machine->rotor;
  const auto add = [&](const char* key, double value) { add_diameter(list, Side::rotor, block, key, value); };
  if (plan.rotor_outside()) {
    // Around a drawn rotor there may be air up to the far circle.
    if (block.values.has("outer_diameter")) add("outer_diameter", 2 * rotor.far_radius);
    add("inner_diameter", 2 * plan.rotor_radius);
    return;
  }
  add("rotor_diameter", 2 * plan.rotor_radius);
  const bool shaft = block.values.has("shaft_diameter");
  add("shaft_diameter", shaft ? block.values.number("shaft_diameter") : 2 * rotor.far_radius);
}

// Teeth, yokes and bridges of a side from the cuts across its iron, the narrowest of the first of each kind.
void add_gauged(std::vector<Dimension>& list, const SideDrawing& drawing) {
  const bool stated = !drawing.dimensions.empty();
  static const std::map<Gauge::Part, const char*> names = {{Gauge::Part::stator_tooth, "narrowest tooth"},
                                                           {Gauge::Part::rotor_tooth, "narrowest tooth"},
                                                           {Gauge::Part::stator_yoke, "yoke"},
                                                           {Gauge::Part::rotor_yoke, "yoke"},
                                                           {Gauge::Part::pole_core, "pole core"},
                                                           {Gauge::Part::bridge, "bridge"}};
  std::set<Gauge::Part> done;
  for (const Gauge& gauge : drawing.gauges) {
    const bool yoke = gauge.part == Gauge::Part::stator_yoke || gauge.part == Gauge::Part::rotor_yoke;
    if ((stated && !yoke) || !names.contains(gauge.part) || gauge.cuts.empty()) continue;
    const auto cut = std::min_element(gauge.cuts.begin(), gauge.cuts.end(),
                                      [](const auto& a, const auto& b) { return a.width < b.width; });
    // A cut that runs over the sector's end is wider than its points are apart.
    if (std::abs(distance(cut->from, cut->to) - cut->width) > tolerance || !done.insert(gauge.part).second) continue;
    list.push_back({names.at(gauge.part), "", drawing.side, cut->from, cut->to});
  }
}

}  // namespace

std::vector<Dimension> dimensions_of(const Machine& machine) {
  const Plan plan = make_plan(machine);
  SideDrawing stator = start_drawing(plan, Side::stator), rotor = start_drawing(plan, Side::rotor);
  stator_type(machine.stator).draw(plan, stator);
  rotor_type(machine.rotor).draw(plan, rotor);
  std::vector<Dimension> list;
  add_stator_diameters(list, plan, stator);
  list.insert(list.end(), stator.dimensions.begin(), stator.dimensions.end());
  add_gauged(list, stator);
  add_rotor_diameters(list, plan, rotor);
  list.insert(list.end(), rotor.dimensions.begin(), rotor.dimensions.end());
  add_gauged(list, rotor);
  return list;
}

Section draw_section(const Machine& machine) {
  const Plan plan = make_plan(machine);
  Section section;
  section.pole_pairs = machine.pole_pairs();
  section.sectors = plan.sectors;
  section.sign = plan.sign;
  section.length = machine.length();
  section.stacking_factor = machine.general.values.number("stacking_factor");
  section.stator_radius = plan.stator_radius;
  section.rotor_radius = plan.rotor_radius;
  section.winding = plan.winding;
  section.rotor_winding = plan.rotor_winding;
  add_phases(section);
  SideDrawing stator = start_drawing(plan, Side::stator);
  stator_type(machine.stator).draw(plan, stator);
  add_side(section, std::move(stator));
  SideDrawing rotor = start_drawing(plan, Side::rotor);
  rotor_type(machine.rotor).draw(plan, rotor);
  add_side(section, std::move(rotor));
  set_boundaries(section, machine);
  return section;
}

}  // namespace polepitch
