#include "post/winding_data.h"

#include <cmath>

#include <gtest/gtest.h>

using namespace polepitch;

namespace {

void set(Block& block, const std::string& name, ValueData data) {
  block.values.set(name, {std::move(data), {"machine.toml", 20, 1}, true});
}

Block winding(int layers = 2, int turns = 7, int paths = 1) {
  Block block;
  set(block, "phases", 3);
  set(block, "layers", layers);
  set(block, "turns_per_coil", turns);
  set(block, "parallel_paths", paths);
  set(block, "strands", 2);
  set(block, "insulation", 0.5e-3);
  set(block, "material", std::string("copper"));
  return block;
}

void add_rectangle(Section& section, Side side, Region region, double x0, double x1, double y0, double y1) {
  SideSection& s = section.sides[static_cast<int>(side)];
  const int point = static_cast<int>(s.points.size()), curve = static_cast<int>(s.curves.size());
  s.points.insert(s.points.end(), {{x0, y0}, {x1, y0}, {x1, y1}, {x0, y1}});
  for (int i = 0; i < 4; ++i) s.curves.push_back({point + i, point + (i + 1) % 4, false, {}, true});
  region.loops = {{curve, curve + 1, curve + 2, curve + 3}};
  region.side = side;
  region.area = (x1 - x0) * (y1 - y0);
  section.regions.push_back(region);
}

Region coil_side(int layer) {
  Region region;
  region.role = Role::winding;
  region.material = "copper";
  region.slot = 0;
  region.layer = layer;
  return region;
}

// One slot of a 36-slot, four-pole stator: body 10 mm wide, from 100 mm to 120 mm, layers of equal height.
struct Stator {
  Machine machine;
  Section section;
  Materials materials;

  explicit Stator(int paths = 1) {
    machine.winding = winding(2, 7, paths);
    set(machine.winding, "wire_diameter", 1e-3);
    set(machine.general, "temperature", 348.15);
    section.pole_pairs = 2;
    section.sectors = 36;
    section.length = 0.2;
    section.winding = lay_out_winding(machine.winding, 36, 2);
    add_rectangle(section, Side::stator, coil_side(0), 0.11, 0.12, -0.005, 0.005);
    add_rectangle(section, Side::stator, coil_side(1), 0.10, 0.11, -0.005, 0.005);
    Material copper;
    copper.conductivity = 58e6;
    copper.temperature_coefficient = 0.00393;
    copper.density = 8890;
    materials["copper"] = copper;
  }
};

}  // namespace

TEST(WindingData, conductor_area) {
  Block round = winding();
  EXPECT_EQ(stated_conductor_area(round), 0);
  set(round, "wire_diameter", 1e-3);
  EXPECT_DOUBLE_EQ(stated_conductor_area(round), 2 * pi / 4 * 1e-6);  // two strands
  Block flat = winding();
  set(flat, "conductor_width", 6e-3);
  EXPECT_THROW(stated_conductor_area(flat), InputError);  // the height is missing
  set(flat, "conductor_height", 2e-3);
  EXPECT_DOUBLE_EQ(stated_conductor_area(flat), 24e-6);
  set(flat, "wire_diameter", 1e-3);
  EXPECT_THROW(stated_conductor_area(flat), InputError);
}

// Hand calculation: 12 coils of 7 turns over 2 paths are 42 turns a path; 1 m a turn over two strands of 1 mm:
// 42 m/(58 MS/m · 1.5708 mm²) = 0.46100 ohm a path, half of it for two.
TEST(WindingData, resistance_of_parallel_paths) {
  const WindingLayout layout = lay_out_winding(winding(2, 7, 2), 36, 2);
  EXPECT_NEAR(phase_resistance(layout, 1.0, 1.570796e-6, 58e6), 0.230500, 1e-6);
  EXPECT_NEAR(current_density(layout, 1.570796e-6, 15), 4.774649e6, 1);  // 7.5 A a path
}

// Hand calculation at 75 °C: span 9 slots at 110 mm: 172.79 mm; end 1.2 · 172.79 + 50 = 257.35 mm; turn
// 2 (200 + 257.35) = 914.69 mm; 84 turns; σ = 58/(1 + 0.00393 · 55) = 47.691 MS/m.
TEST(WindingData, of_a_whole_stator) {
  const Stator stator;
  const WindingData data = winding_data(stator.section, stator.machine, stator.materials);
  EXPECT_NEAR(data.end.span, 0.172788, 1e-6);
  EXPECT_NEAR(data.end.length, 0.257345, 1e-6);
  EXPECT_NEAR(data.mean_turn, 0.914690, 2e-6);
  EXPECT_NEAR(data.winding_factor, 0.959795, 1e-6);
  EXPECT_DOUBLE_EQ(data.turns_in_series, 84);
  EXPECT_NEAR(data.resistance, 84 * 0.914690 / (47.6915e6 * 1.570796e-6), 2e-5);
  // 3 · 84 turns of 0.91469 m, 1.5708 mm², 8890 kg/m³
  EXPECT_NEAR(data.mass, 3 * 84 * 0.914690 * 1.570796e-6 * 8890, 1e-4);
  // 14 conductors of 1.5708 mm² in 200 mm²; each layer of 10 × 10 mm less 0.5 mm all round leaves 81 mm²
  EXPECT_NEAR(data.fill.copper, 14 * 1.570796 / 200, 1e-6);
  EXPECT_NEAR(data.fill.insulated, 14 * 1.570796 / 162, 1e-6);
  EXPECT_TRUE(data.warnings.empty());
}

TEST(WindingData, copper_that_does_not_fit_is_a_warning) {
  Stator stator;
  set(stator.machine.winding, "wire_diameter", 4e-3);
  const WindingData data = winding_data(stator.section, stator.machine, stator.materials);
  ASSERT_EQ(data.warnings.size(), 1u);
  EXPECT_NE(data.warnings[0].find("2.17 times"), std::string::npos) << data.warnings[0];  // 14 · 2 · 4π mm²/162 mm²
}

TEST(WindingData, what_is_not_stated_is_not_invented) {
  Stator stator;
  stator.machine.winding = winding();
  const WindingData data = winding_data(stator.section, stator.machine, stator.materials);
  EXPECT_EQ(data.conductor_area, 0);
  EXPECT_EQ(data.resistance, 0);
  EXPECT_EQ(data.fill.copper, 0);
  EXPECT_GT(data.end_inductance, 0);
}

TEST(WindingData, drawn_rectangular_conductors_state_their_area) {
  Stator stator;
  stator.machine.winding = winding();
  stator.section.regions.clear();
  add_rectangle(stator.section, Side::stator, coil_side(0), 0.111, 0.118, -0.003, 0.003);
  Region around = coil_side(0);
  around.role = Role::insulation;
  add_rectangle(stator.section, Side::stator, around, 0.11, 0.12, -0.005, 0.005);
  stator.section.regions.back().area = 100e-6 - 42e-6;  // a frame: the conductor is its hole
  const WindingData data = winding_data(stator.section, stator.machine, stator.materials);
  EXPECT_NEAR(data.conductor_area, 42e-6 / 7, 1e-12);
  EXPECT_NEAR(data.fill.copper, 0.42, 1e-9);
  EXPECT_NEAR(data.fill.insulated, 1, 1e-9);
}

// Hand calculation: body 100 mm, insulation 1 mm, coil 18 mm wide: turn 2 (200 + 100) + 2π (1 + 9) = 662.83 mm;
// 18 × 40 mm² over 60 turns: 12 mm²; four poles: 4 · 60 · 0.66283 m/(47.691 MS/m · 12 mm²).
TEST(WindingData, field_winding_of_salient_poles) {
  Stator stator;
  Region side;
  side.role = Role::field_winding;
  side.material = "copper";
  add_rectangle(stator.section, Side::rotor, side, 0.05, 0.09, 0.051, 0.069);
  set(stator.machine.rotor, "field_turns", 60);
  set(stator.machine.rotor, "field_parallel_paths", 1);
  set(stator.machine.rotor, "body_width", 0.1);
  set(stator.machine.rotor, "coil_insulation", 1e-3);
  set(stator.machine.rotor, "coil_width", 18e-3);
  const FieldWindingData data = field_winding_data(stator.section, stator.machine, stator.materials);
  EXPECT_NEAR(data.mean_turn, 0.662832, 1e-6);
  EXPECT_NEAR(data.conductor_area, 12e-6, 1e-12);
  EXPECT_NEAR(data.resistance, 4 * 60 * 0.662832 / (47.6915e6 * 12e-6), 1e-5);
  EXPECT_NEAR(data.mass, 4 * 60 * 0.662832 * 12e-6 * 8890, 1e-4);
  EXPECT_EQ(field_winding_data(Stator().section, stator.machine, stator.materials).resistance, 0);
}
