#include "geometry/cage_parts.h"

#include <numbers>

#include <fmt/format.h>

#include "geometry/rotor_core.h"
#include "geometry/slot_filling.h"

namespace polepitch {

namespace {

constexpr double pi = std::numbers::pi;

Parameter optional_quantity(std::string name, Kind kind, const char* unit, double upper, std::string sentence) {
  Parameter p;
  p.name = std::move(name);
  p.kind = kind;
  p.unit = unit;
  p.lower = 0;
  p.upper = upper;
  p.optional = true;
  p.sentence = std::move(sentence);
  return p;
}

void add_branches(SideDrawing& drawing, const std::vector<double>& axes, int cages) {
  for (std::size_t k = 0; k < axes.size(); ++k)
    for (int cage = 0; cage < cages; ++cage) {
      const char* which = cages == 1 ? "" : cage == 0 ? " inner" : " outer";
      drawing.branches.push_back({fmt::format("bar {}{}", k + 1, which), BranchKind::bar, axes[k], cage});
    }
}

SlotFilling bar_filling(const SideDrawing& drawing, const std::vector<std::string>& materials, double split) {
  SlotFilling filling;
  const int cages = static_cast<int>(materials.size());
  filling.layers = cages;
  filling.split = split;
  filling.coil_side = [&drawing, materials, cages](int k, int layer) {
    const int branch = cages * k + layer;
    Region bar = make_region(drawing, Role::bar, drawing.branches[static_cast<std::size_t>(branch)].name,
                             materials[static_cast<std::size_t>(layer)]);
    bar.branch = branch;
    bar.turns = 1;
    bar.slot = k;
    bar.layer = cages == 1 ? -1 : layer;
    return bar;
  };
  return filling;
}

}  // namespace

SlotSite cage_site(const Machine& machine, double bore_radius) {
  SlotSite site;
  site.block = &machine.rotor_slot;
  site.radius = bore_radius - machine.rotor.values.number("air_gap");
  site.direction = -1;
  site.count = machine.rotor.values.integer("bars");
  site.floor_radius = shaft_radius(machine);
  site.surface = "at the rotor surface";
  return site;
}

std::vector<Parameter> ring_parameters(const std::string& prefix, const std::string& whose) {
  return {
      optional_length(prefix + "ring_height", 0.1, 1000, "Radial height of " + whose + "."),
      optional_length(prefix + "ring_width", 0.1, 1000, "Axial width of " + whose + "."),
      optional_length(prefix + "ring_mean_diameter", 1, 20000, "Mean diameter of " + whose + "."),
      optional_quantity(
          prefix + "ring_segment_resistance", Kind::resistance, "ohm", 1,
          "Resistance of " + whose + " between neighbouring bars, one ring; from its dimensions when it is not given."),
      optional_quantity(prefix + "ring_segment_inductance", Kind::inductance, "H", 1e-3,
                        "Leakage inductance of " + whose +
                            " between neighbouring bars, one ring; from its dimensions when it is not given."),
  };
}

void check_rings(const Machine& machine, const std::string& prefix, Faults& faults) {
  const Values& v = machine.rotor.values;
  std::string given, missing;
  for (const char* key : {"ring_height", "ring_width", "ring_mean_diameter"})
    (v.has(prefix + key) ? given : missing) = prefix + key;
  if (!given.empty() && !missing.empty())
    faults.push_back({v.place(given), fmt::format("rotor.{} is missing beside rotor.{}", missing, given),
                      "an end ring needs its height, width and mean diameter"});
}

void check_cage(const Machine& machine, double bore_radius, Faults& faults) {
  if (!check_rotor_fits(machine, bore_radius, faults)) return;
  const SlotSite site = cage_site(machine, bore_radius);
  const SlotOutline outline = slot_type(machine.rotor_slot).outline(site, faults);
  check_slots(site, outline, faults);
  check_conductor(site, outline, outline.body_bottom - outline.body_top, faults);
}

void draw_cage(const Plan& plan, SideDrawing& drawing, const std::vector<std::string>& materials, double split) {
  const Machine& machine = *plan.machine;
  const SlotSite site = cage_site(machine, plan.stator_radius);
  Faults none;
  const SlotOutline outline = slot_type(machine.rotor_slot).outline(site, none);
  drawing.start_angle = -pi / site.count;  // between bars; the first bar lies on the d-axis
  std::vector<double> axes;
  for (int k = 0; k < plan.in_sector(site.count); ++k) axes.push_back(k * 2 * pi / site.count);
  add_branches(drawing, axes, static_cast<int>(materials.size()));
  draw_rotor_core(plan, drawing, site, outline, axes);
  fill_slots(drawing, site, outline, axes, bar_filling(drawing, materials, split));
  add_tooth_gauges(drawing, site, outline, axes, plan.sign);
  add_yoke_gauges(drawing, site, outline, axes);
}

}  // namespace polepitch
