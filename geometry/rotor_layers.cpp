// Concentric rings of given materials: solid rotors, sleeves, a ring magnet; the closed forms are tested on them.
#include <algorithm>
#include <cmath>
#include <numbers>

#include <fmt/format.h>

#include "geometry/side_types.h"

namespace polepitch {

namespace {

int magnet_ring(const Block& rotor) {
  return rotor.values.integer("magnet_ring");
}

double radius(const Machine& machine, double) {
  const std::vector<double>& d = machine.rotor.values.numbers("diameters");
  return d.empty() ? 0 : d.back() / 2;
}

void check_list(const Machine& machine, Faults& faults) {
  const Block& rotor = machine.rotor;
  const std::vector<double>& d = rotor.values.numbers("diameters");
  const std::size_t materials = rotor.values.texts("materials").size();
  const Place place = rotor.values.place("diameters");
  if (d.empty()) {
    faults.push_back({place, "rotor.diameters is empty", "give the outer diameter of each ring, from the inside"});
    return;
  }
  if (d.size() != materials)
    faults.push_back({rotor.values.place("materials"),
                      fmt::format("rotor.materials names {} materials for {} rings", materials, d.size()),
                      "give one material for each entry of rotor.diameters"});
  double last = rotor.values.number("inner_diameter");
  for (std::size_t i = 0; i < d.size(); ++i) {
    if (d[i] <= last + 1e-6)
      faults.push_back({place,
                        fmt::format("rotor.diameters: ring {} ends at {}, inside of the ring before it, {}", i + 1,
                                    millimetres(d[i]), millimetres(last)),
                        "list the outer diameters from the inside to the outside"});
    last = std::max(last, d[i]);
  }
}

void check(const Machine& machine, double bore, Faults& faults) {
  check_list(machine, faults);
  const Block& rotor = machine.rotor;
  const int rings = static_cast<int>(rotor.values.numbers("diameters").size());
  const double r = radius(machine, bore);
  if (r >= bore)
    faults.push_back({rotor.values.place("diameters"),
                      fmt::format("rotor.diameters: the outermost ring, {}, does not fit into the bore, {}",
                                  millimetres(2 * r), millimetres(2 * bore)),
                      "the last diameter is the bore less twice the air gap"});
  if (magnet_ring(rotor) > rings)
    faults.push_back(
        {rotor.values.place("magnet_ring"),
         fmt::format("rotor.magnet_ring = {} is more than the number of rings, {}", magnet_ring(rotor), rings),
         "count the rings from the inside, from 1; 0 means no magnet"});
  if (magnet_ring(rotor) > 0 && machine.pole_pairs() != 1)
    faults.push_back({rotor.values.place("magnet_ring"),
                      fmt::format("rotor.magnet_ring: a ring magnetised in one direction makes one pole pair, "
                                  "machine.pole_pairs is {}",
                                  machine.pole_pairs()),
                      "set machine.pole_pairs = 1 or use surface magnets"});
}

Symmetry symmetry(const Machine& machine) {
  return magnet_ring(machine.rotor) > 0 ? Symmetry{2, -1} : Symmetry{};
}

Region ring_region(const Machine& machine, const SideDrawing& drawing, int ring) {
  const Values& v = machine.rotor.values;
  const std::string& material = v.texts("materials")[ring];
  const bool magnet = ring + 1 == magnet_ring(machine.rotor);
  const std::vector<int>& laminated = v.integers("laminated_rings");
  const bool core = std::find(laminated.begin(), laminated.end(), ring + 1) != laminated.end();
  const Role role = magnet ? Role::magnet : core ? Role::core : material == "air" ? Role::air : Role::layer;
  Region region = make_region(drawing, role, fmt::format("ring {}", ring + 1), material);
  region.layer = ring;
  if (magnet) region.magnetisation = {Magnetisation::Pattern::parallel, 0, 1};
  return region;
}

void draw(const Plan& plan, SideDrawing& drawing) {
  const Machine& machine = *plan.machine;
  const std::vector<double>& d = machine.rotor.values.numbers("diameters");
  drawing.start_angle = -std::numbers::pi / (2 * machine.pole_pairs());
  const double seed = drawing.start_angle + 0.4142 * drawing.sector_angle;
  double inner = machine.rotor.values.number("inner_diameter") / 2;
  drawing.far_radius = inner;
  if (inner > 0) {
    add_ring(drawing, inner, "inside of the rotor");
    if (drawing.closed) add_empty_label(drawing.sketch, "hollow shaft", {0, 0});
  }
  add_edges(drawing, inner, drawing.gap_radius);
  for (int ring = 0; ring < static_cast<int>(d.size()); ++ring) {
    const double outer = d[ring] / 2;
    add_ring(drawing, outer, fmt::format("ring {}", ring + 1));
    add_label(drawing.sketch, ring_region(machine, drawing, ring), polar((inner + outer) / 2, seed));
    inner = outer;
  }
  add_ring(drawing, drawing.gap_radius, "gap circle of the rotor");
  add_measure(drawing, "air gap", polar(plan.rotor_radius, seed), polar(plan.stator_radius, seed));
  for (int ring = 0; ring + 1 < static_cast<int>(d.size()); ++ring) {
    add_dimension(drawing, machine.rotor, "diameters", {d[ring] / 2, 0}, {-d[ring] / 2, 0}, ring);
    drawing.dimensions.back().diameter = true;
  };
  add_label(drawing.sketch, make_region(drawing, Role::air, "air gap, rotor side", "air"),
            polar((inner + drawing.gap_radius) / 2, seed));
}

std::vector<Parameter> parameters() {
  Parameter diameters = length_parameter("diameters", 0.1, 20000, "", "Outer diameters of the rings, from the inside.");
  diameters.form = Form::quantity_list;
  Parameter materials = material_parameter("materials", "", "Materials of the rings, from the inside.");
  materials.form = Form::text_list;
  Parameter laminated = integer_parameter("laminated_rings", 1, 100, "[]",
                                          "Numbers of the laminated rings (the stacking factor counts), from 1.");
  laminated.form = Form::integer_list;
  return {
      diameters, materials,
      length_parameter("inner_diameter", 0, 20000, "0", "Diameter of the hole in the middle, which no flux enters."),
      integer_parameter("magnet_ring", 0, 100, "0",
                        "Number of the ring that is a magnet magnetised along the d-axis; 0 means none."),
      laminated};
}

}  // namespace

const RotorType& layers_rotor() {
  static const RotorType type{
      {"layers", "Concentric rings of given materials, one of which may be a magnet.", parameters(), false},
      radius,
      check,
      symmetry,
      draw};
  return type;
}

}  // namespace polepitch
