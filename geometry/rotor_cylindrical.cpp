// Cylindrical wound rotor: slots over part of each pole pitch, concentric field coils around the tooth in its middle.
#include <cmath>
#include <numbers>

#include <fmt/format.h>

#include "geometry/side_types.h"
#include "geometry/slot_filling.h"

namespace polepitch {

namespace {

constexpr double pi = std::numbers::pi;

double radius(const Machine& machine, double bore) {
  return bore - machine.rotor.values.number("air_gap");
}

/// Wound slots between the middles of two poles.
int slots_per_pole(const Machine& machine) {
  return machine.rotor.values.integer("wound_slots");
}

/// Turns of coil `coil` of a pole, 0 the innermost.
int coil_turns(const Machine& machine, int coil) {
  const std::vector<int>& turns = machine.rotor.values.integers("coil_turns");
  return turns.size() == 1 ? turns[0] : turns[coil];
}

SlotSite site_of(const Machine& machine, double bore) {
  SlotSite site;
  site.block = &machine.rotor_slot;
  site.radius = radius(machine, bore);
  site.direction = -1;
  site.count = machine.rotor.values.integer("slot_pitches");
  site.floor_radius = shaft_radius(machine);
  site.surface = "at the rotor surface";
  return site;
}

void check_counts(const Machine& machine, Faults& faults) {
  const Values& v = machine.rotor.values;
  const int wound = slots_per_pole(machine), pitches = site_of(machine, 0).count, poles = 2 * machine.pole_pairs();
  const int room = pitches / poles / 2 * 2;  // even
  if (wound % 2 != 0)
    faults.push_back({v.place("wound_slots"), fmt::format("rotor.wound_slots = {} is odd", wound),
                      "each coil has two sides beside its pole: give an even number"});
  if (wound > pitches / poles)
    faults.push_back({v.place("wound_slots"),
                      fmt::format("rotor.wound_slots = {}: {} poles need more than the {} pitches of slot_pitches",
                                  wound, poles, pitches),
                      room >= 2 ? fmt::format("at most {}, or more slot_pitches", room)
                                : fmt::format("slot_pitches must be at least {}", 2 * poles)});
  const std::size_t listed = v.integers("coil_turns").size();
  if (listed != 1 && static_cast<int>(listed) != wound / 2)
    faults.push_back({v.place("coil_turns"),
                      fmt::format("rotor.coil_turns lists {} coils, but a pole has {}", listed, wound / 2),
                      "one number for each coil, from the innermost, or one for all"});
}

void check(const Machine& machine, double bore, Faults& faults) {
  check_counts(machine, faults);
  if (!check_rotor_fits(machine, bore, faults)) return;
  const SlotSite site = site_of(machine, bore);
  const SlotOutline outline = slot_type(machine.rotor_slot).outline(site, faults);
  check_slots(site, outline, faults);
  check_conductor(site, outline, outline.body_bottom - outline.body_top, faults);
}

Symmetry symmetry(const Machine& machine) {
  return {2 * machine.pole_pairs(), -1};
}

/// A wound slot: where, and the coil side in it.
struct WoundSlot {
  double axis = 0;
  int pole = 0, coil = 0, hand = 1;  // +1: the counter-clockwise side of the pole
};

// The slots of the sector in order, which begins and ends between two poles.
std::vector<WoundSlot> wound_slots(const Plan& plan) {
  const Machine& machine = *plan.machine;
  const int per_pole = slots_per_pole(machine), coils = per_pole / 2;
  const double pitch = pi / machine.pole_pairs(), step = 2 * pi / site_of(machine, plan.stator_radius).count;
  std::vector<WoundSlot> slots;
  for (int j = 0; j < plan.in_sector(2 * machine.pole_pairs()); ++j)
    for (int hand : {-1, 1})
      for (int i = 0; i < coils; ++i) {
        const int coil = hand < 0 ? coils - 1 - i : i;
        slots.push_back({j * pitch + hand * (pitch / 2 - (coils - 0.5 - coil) * step), j, coil, hand});
      }
  return slots;
}

// The tooth in the middle of a pole is wider than the others; its cuts are measured as they are drawn.
void add_gauges(const Plan& plan, SideDrawing& drawing, const SlotSite& site, const SlotOutline& outline,
                const std::vector<double>& axes, const std::vector<WoundSlot>& slots) {
  const std::size_t before = drawing.gauges.size();
  add_tooth_gauges(drawing, site, outline, axes, plan.sign);
  for (std::size_t k = 0; k < slots.size(); ++k) {
    if (slots[k].coil != 0 || slots[k].hand > 0) continue;  // the slot before the middle of the pole
    Gauge& gauge = drawing.gauges[before + k];
    gauge.name = fmt::format("rotor tooth in the middle of pole {}", slots[k].pole + 1);
    for (Gauge::Cut& cut : gauge.cuts) cut.width = distance(cut.from, cut.to);
  }
  add_yoke_gauges(drawing, site, outline, axes);
}

void draw(const Plan& plan, SideDrawing& drawing) {
  const Machine& machine = *plan.machine;
  const SlotSite site = site_of(machine, plan.stator_radius);
  Faults none;
  const SlotOutline outline = slot_type(machine.rotor_slot).outline(site, none);
  drawing.start_angle = -pi / (2 * machine.pole_pairs());
  drawing.branches.push_back({"field", BranchKind::field, 0});
  const std::vector<WoundSlot> slots = wound_slots(plan);
  std::vector<double> axes;
  for (const WoundSlot& slot : slots) axes.push_back(slot.axis);
  add_ring(drawing, drawing.gap_radius, "gap circle of the rotor");
  draw_shaft(plan, drawing, site.floor_radius);
  add_edges(drawing, drawing.far_radius, drawing.gap_radius);
  draw_slots(drawing, site, outline, axes, "rotor slot");
  add_air_gap(drawing, plan, 0);
  const double bottom = site.radius - outline.points.back().depth;
  add_label(drawing.sketch, make_region(drawing, Role::core, "rotor core", rotor_material(machine)),
            polar((site.floor_radius + bottom) / 2, 0));
  add_label(drawing.sketch, make_region(drawing, Role::air, "air gap, rotor side", "air"),
            polar((site.radius + drawing.gap_radius) / 2, 0));
  SlotFilling filling;
  filling.coil_side = [&](int k, int) {
    const WoundSlot& slot = slots[k];
    Region side = make_region(
        drawing, Role::field_winding,
        fmt::format("pole {} field coil {}, {}", slot.pole + 1, slot.coil + 1, slot.hand > 0 ? "left" : "right"),
        machine.rotor.values.text("field_material"));
    const double turns =
        coil_turns(machine, slot.coil) / static_cast<double>(machine.rotor.values.integer("field_parallel_paths"));
    side.branch = 0;
    side.turns = slot.hand * (slot.pole % 2 ? -turns : turns);  // current along +z on the left drives flux outward
    side.slot = k;
    return side;
  };
  fill_slots(drawing, site, outline, axes, filling);
  add_gauges(plan, drawing, site, outline, axes, slots);
}

std::vector<Parameter> parameters() {
  Parameter turns = integer_parameter(
      "coil_turns", 1, 10000, "",
      "Turns of the coils of a pole, from the innermost to the outermost; a single number holds for all.");
  turns.form = Form::integer_list;
  return {
      length_parameter("air_gap", 0.1, 200, "", "Air gap between rotor and bore."),
      integer_parameter("slot_pitches", 4, 500, "", "Slots that the rotor would have if all its surface were slotted."),
      integer_parameter("wound_slots", 2, 100, "",
                        "Wound slots a pole, an even number; half of them lie on either side of each pole's middle."),
      turns,
      integer_parameter("field_parallel_paths", 1, 100, "1", "Parallel paths of the field winding."),
      material_parameter("field_material", "copper", "Material of the field conductors."),
      length_parameter("shaft_diameter", 0, 10000, "0", "Diameter of the shaft; 0 means a solid rotor."),
  };
}

}  // namespace

const RotorType& cylindrical_rotor() {
  static const RotorType type{
      {"cylindrical",
       "Cylindrical wound rotor: slots over part of each pole pitch, with concentric field coils of equal or graded "
       "turns.",
       parameters(), true},
      radius,
      check,
      symmetry,
      draw};
  return type;
}

}  // namespace polepitch
