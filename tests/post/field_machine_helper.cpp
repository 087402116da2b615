#include "field_machine_helper.h"

#include <cmath>
#include <functional>
#include <map>

namespace polepitch::testing {
namespace {

constexpr double degree = pi / 180;

/// Cells between given radii and angles; `label` says what lies in cell (radial index, angular index).
struct PolarGrid {
  Side side;
  std::vector<double> radii, angles;  // m; rad
  std::function<Region(int, int)> label;
};

void draw_grid(const PolarGrid& grid, Section& section) {
  SideSection& side = section.sides[static_cast<int>(grid.side)];
  const int rings = static_cast<int>(grid.radii.size()), rays = static_cast<int>(grid.angles.size());
  const auto point = [&](int i, int k) { return i * rays + k; };
  std::map<std::pair<int, int>, int> arc, spoke;
  for (int i = 0; i < rings; ++i) {
    for (int k = 0; k < rays; ++k) {
      side.points.push_back({grid.radii[i] * std::cos(grid.angles[k]), grid.radii[i] * std::sin(grid.angles[k])});
    }
  }
  for (int i = 0; i < rings; ++i) {
    for (int k = 0; k + 1 < rays; ++k) {
      arc[{i, k}] = static_cast<int>(side.curves.size());
      side.curves.push_back({point(i, k), point(i, k + 1), true, {0, 0}, true});
    }
  }
  for (int i = 0; i + 1 < rings; ++i) {
    for (int k = 0; k < rays; ++k) {
      spoke[{i, k}] = static_cast<int>(side.curves.size());
      side.curves.push_back({point(i, k), point(i + 1, k), false, {0, 0}, true});
    }
  }
  const int gap = grid.side == Side::stator ? 0 : rings - 1;
  for (int k = 0; k + 1 < rays; ++k) {
    side.gap_curves.push_back(arc[{gap, k}]);
    side.far_curves.push_back(arc[{rings - 1 - gap, k}]);
  }
  for (int i = 0; i + 1 < rings; ++i) {
    side.start_edge.push_back(spoke[{i, 0}]);
    side.end_edge.push_back(spoke[{i, rays - 1}]);
    for (int k = 0; k + 1 < rays; ++k) {
      Region region = grid.label(i, k);
      region.side = grid.side;
      const double low = grid.radii[i], high = grid.radii[i + 1], width = grid.angles[k + 1] - grid.angles[k];
      region.area = 0.5 * (high * high - low * low) * width;
      const double r = 0.5 * (low + high), angle = 0.5 * (grid.angles[k] + grid.angles[k + 1]);
      region.seed = {r * std::cos(angle), r * std::sin(angle)};
      // Out along the first ray, on along the outer arc, in along the second ray, back along the inner arc.
      region.loops = {{spoke[{i, k}], arc[{i + 1, k}], -1 - spoke[{i, k + 1}], -1 - arc[{i, k}]}};
      section.regions.push_back(region);
    }
  }
  side.start_angle = grid.angles.front();
  side.gap_radius = grid.radii[gap];
  side.far_radius = grid.radii[rings - 1 - gap];
}

Region piece(const char* name, Role role, const char* material) {
  Region region;
  region.name = name;
  region.role = role;
  region.material = material;
  return region;
}

Region coil(Role role, int branch, double turns, int slot) {
  Region region = piece("coil side", role, "copper");
  region.branch = branch;
  region.turns = turns;
  region.slot = slot;
  return region;
}

// Slots at −15°, 15° and 45° of a sector from −30° to 60°. Phase A's axis at 0: its current K = K0 sin pθ is positive
// at 45°; B and C lie 120° and 240° electrical on, so the sector reads +C, −B, +A.
void draw_stator(Section& section, const SmallMachineOptions& options) {
  PolarGrid grid{
      Side::stator, {49.6667e-3, 50e-3, 50e-3 + options.opening_height, 60e-3 + options.opening_height, 78e-3}, {}, {}};
  for (double slot : {-15.0, 15.0, 45.0}) {
    if (grid.angles.empty()) grid.angles.push_back(-30 * degree);
    for (double edge : {slot - options.slot_half_width, slot + options.slot_half_width})
      grid.angles.push_back(edge * degree);
  }
  grid.angles.push_back(60 * degree);
  grid.label = [](int ring, int ray) {
    const bool slot = ray % 2 == 1;
    if (ring == 0) return piece("gap", Role::air, "air");
    if (slot && ring == 1) return piece("opening", Role::air, "air");
    if (!slot || ring == 3) return piece("stator core", Role::core, "iron");
    const int branch[] = {2, 1, 0}, sign[] = {1, -1, 1};
    const int number = ray / 2;
    return coil(Role::winding, branch[number], sign[number] * small_machine_turns, number);
  };
  draw_grid(grid, section);
}

void draw_rotor(Section& section, const SmallMachineOptions& options) {
  PolarGrid grid{Side::rotor, {20e-3, 30e-3, 44e-3, 49e-3, 49.3333e-3}, {}, {}};
  for (double angle : {-45, -40, -30, 0, 30, 40, 45}) grid.angles.push_back(angle * degree);
  grid.label = [options](int ring, int ray) {
    if (ring == 3) return piece("gap", Role::air, "air");
    const bool pole = ray == 2 || ray == 3;
    if (ring == 0 || !options.salient || (options.magnets && ring == 1) || (pole && !(options.magnets && ring == 2))) {
      return piece("rotor core", Role::core, "iron");
    }
    if (pole) {
      Region magnet = piece("magnet", Role::magnet, "magnet");
      magnet.magnetisation = {Magnetisation::Pattern::parallel, 0, 1};
      return magnet;
    }
    if (ring == 1 && (ray == 1 || ray == 4)) {
      return coil(Role::field_winding, 3, (ray == 4 ? 1 : -1) * small_machine_field_turns, -1);
    }
    return piece("between poles", Role::air, "air");
  };
  draw_grid(grid, section);
}

Gauge tooth_gauge(double centre) {
  Gauge gauge{Gauge::Part::stator_tooth, "stator tooth", Side::stator, {}, 1};
  for (double r : {52.5e-3, 55e-3, 61.5e-3}) {
    const double from = (centre - 11) * degree, to = (centre + 11) * degree;
    gauge.cuts.push_back({{r * std::cos(from), r * std::sin(from)},
                          {r * std::cos(to), r * std::sin(to)},
                          2 * r * std::sin(11 * degree)});
  }
  return gauge;
}

void add_gauges(Section& section) {
  for (double centre : {0.0, 30.0}) section.gauges.push_back(tooth_gauge(centre));
  const double angle = 15 * degree, co = std::cos(angle), si = std::sin(angle);
  Gauge yoke{Gauge::Part::stator_yoke, "stator yoke", Side::stator, {}, 0};
  yoke.cuts.push_back({{62e-3 * co, 62e-3 * si}, {78e-3 * co, 78e-3 * si}, 16e-3});
  section.gauges.push_back(yoke);
}

Material material(const char* name, const char* kind, double mu_r) {
  Material m;
  m.name = name;
  m.kind = kind;
  m.invented = true;
  m.mu_r = mu_r;
  return m;
}

Materials invented_materials(bool nonlinear) {
  Materials materials;
  materials["air"] = material("air", "gas", 1);
  materials["copper"] = material("copper", "conductor", 1);
  materials["iron"] = material("iron", "steel", 1e5);
  materials["magnet"] = material("magnet", "magnet", 1.05);
  materials["magnet"].remanence = small_machine_remanence;
  if (nonlinear) {
    materials["iron"].b = {0, 0.4, 0.8, 1.1, 1.3, 1.5, 1.65, 1.8, 1.9, 2.0, 2.1};
    materials["iron"].h = {0, 60, 110, 180, 320, 900, 2400, 6500, 12000, 24000, 50000};
  }
  return materials;
}

}  // namespace

std::unique_ptr<SmallMachine> small_machine(const SmallMachineOptions& options) {
  auto machine = std::make_unique<SmallMachine>();
  Section& section = machine->section;
  section.pole_pairs = 2;
  section.sectors = 4;
  section.sign = -1;
  section.length = 0.1;
  section.stator_radius = 50e-3;
  section.rotor_radius = 49e-3;
  section.inner = FarBoundary::zero;
  for (int k = 0; k < 3; ++k) section.branches.push_back({"phase", BranchKind::phase, 2 * pi / 3 * k / 2});
  if (options.salient && !options.magnets) section.branches.push_back({"field", BranchKind::field, 0});
  section.winding.slots = 12;
  section.winding.pole_pairs = 2;
  section.winding.slot0_angle = -15 * degree;
  section.winding.turns_per_coil = static_cast<int>(small_machine_turns);
  draw_stator(section, options);
  draw_rotor(section, options);
  add_gauges(section);
  machine->materials = invented_materials(options.nonlinear);
  machine->mesh = mesh_section(section, {.density = options.density});
  machine->field = std::make_unique<StaticField>(section, machine->mesh, machine->materials,
                                                 SolverOptions{.tolerance = options.tolerance});
  return machine;
}

}  // namespace polepitch::testing
