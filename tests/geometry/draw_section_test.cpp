// The drawn sector: areas, edges, sources, cuts. Expected areas are formulas of plane geometry.
#include <gtest/gtest.h>

#include <cmath>
#include <map>
#include <numbers>

#include "geometry/section.h"
#include "geometry/sketch.h"
#include "machine_helper.h"

namespace polepitch {
namespace {

using namespace testing;
constexpr double pi = std::numbers::pi;

double ring(double outer, double inner) {
  return pi * (outer * outer - inner * inner);
}

double area_of(const Section& section, Side side) {
  double sum = 0;
  for (const Region& region : section.regions)
    if (region.side == side) sum += region.area;
  return sum * section.sectors;
}

void expect_whole_rings(const Section& s) {
  const SideSection &stator = s.sides[0], &rotor = s.sides[1];
  const double outside = ring(stator.far_radius, stator.gap_radius), inside = ring(rotor.gap_radius, rotor.far_radius);
  EXPECT_NEAR(area_of(s, Side::stator) / outside, 1, 1e-12);
  EXPECT_NEAR(area_of(s, Side::rotor) / inside, 1, 1e-12);
}

void expect_edges_match(const Section& s) {
  for (const SideSection& side : s.sides) {
    EXPECT_EQ(side.start_edge.empty(), s.sectors == 1);
    ASSERT_EQ(side.start_edge.size(), side.end_edge.size());
    for (std::size_t i = 0; i < side.start_edge.size(); ++i) {
      const Curve &a = side.curves[side.start_edge[i]], &b = side.curves[side.end_edge[i]];
      EXPECT_LT(distance(turned(side.points[a.start], s.sector_angle()), side.points[b.start]), 1e-12);
      EXPECT_LT(distance(turned(side.points[a.end], s.sector_angle()), side.points[b.end]), 1e-12);
    }
  }
}

// Arcs follow one another counter-clockwise from edge to edge.
void expect_circle(const SideSection& side, const std::vector<int>& curves, double radius, double sector) {
  double covered = 0;
  int last = -1;
  for (int i : curves) {
    const Curve& c = side.curves[i];
    EXPECT_TRUE(c.arc && c.ccw);
    EXPECT_TRUE(last < 0 || c.start == last);
    last = c.end;
    covered += sweep({side.points[c.start], side.points[c.end], true, c.centre, c.ccw});
    EXPECT_NEAR(std::hypot(side.points[c.start].x, side.points[c.start].y), radius, 1e-12);
  }
  EXPECT_NEAR(covered, sector, 1e-12);
}

void expect_sound(const MachineTexts& texts) {
  const Section s = draw_section(make_machine(texts));
  expect_whole_rings(s);
  expect_edges_match(s);
  for (const SideSection& side : s.sides) {
    expect_circle(side, side.gap_curves, side.gap_radius, s.sector_angle());
    if (side.far_radius > 0) expect_circle(side, side.far_curves, side.far_radius, s.sector_angle());
  }
}

const Region& region(const Section& s, const std::string& name) {
  for (const Region& r : s.regions)
    if (r.name == name) return r;
  throw std::logic_error("no region " + name);
}

TEST(DrawSection, EveryRotorFillsItsRings) {
  for (const MachineTexts& texts : {salient_texts(), cage_texts(), magnet_texts(), layers_texts()}) expect_sound(texts);
}

TEST(DrawSection, SmallestSector) {
  const Section salient = draw_section(make_machine(salient_texts()));
  EXPECT_EQ(salient.sectors, 8);  // q = 2, one pole
  EXPECT_EQ(salient.sign, -1);
  const Section cage = draw_section(make_machine(cage_texts()));
  EXPECT_EQ(cage.sectors, 4);  // 36 slots and 28 bars share 4, one pole
  EXPECT_EQ(cage.sign, -1);
  MachineTexts odd = cage_texts();
  odd.rotor["bars"] = "30";
  const Section pair = draw_section(make_machine(odd));
  EXPECT_EQ(pair.sectors, 2);  // one pole pair
  EXPECT_EQ(pair.sign, 1);
  odd.rotor["bars"] = "29";
  EXPECT_EQ(draw_section(make_machine(odd)).sectors, 1);
  expect_sound(odd);
}

TEST(DrawSection, FractionalWindingsSetTheSector) {
  MachineTexts t = magnet_texts();
  t.stator["slots"] = "9";
  t.slot["tooth_width"] = "28 mm";
  t.winding = {{"turns_per_coil", "10"}, {"coil_span", "1"}};
  const Section nine = draw_section(make_machine(t));  // 9 slots, 8 poles: nothing repeats
  EXPECT_EQ(nine.sectors, 1);
  expect_sound(t);
  t.stator["slots"] = "12";
  t.slot["tooth_width"] = "20 mm";
  const Section twelve = draw_section(make_machine(t));  // 12 slots, 8 poles: four times 3 slots on 2 poles
  EXPECT_EQ(twelve.sectors, 4);
  EXPECT_EQ(twelve.sign, 1);
  expect_sound(t);
}

TEST(DrawSection, SlotAreasAreTrapezia) {
  MachineTexts t = salient_texts();
  t.slot = {{"opening_width", "2 mm"}, {"opening_height", "1 mm"}, {"flare_height", "1 mm"},
            {"width_top", "5 mm"},     {"width_bottom", "7 mm"},   {"body_height", "20 mm"}};
  t.winding["layer_split"] = "0.4";
  const Section s = draw_section(make_machine(t));
  // Width at the division: 5 + 0.6 · 2 = 6.2 mm.
  EXPECT_NEAR(region(s, "slot 1 bottom layer").area, (6.2 + 7) / 2 * 8 * 1e-6, 1e-15);
  EXPECT_NEAR(region(s, "slot 1 top layer").area, (5 + 6.2) / 2 * 12 * 1e-6, 1e-15);
  t.slot["corner_radius"] = "1.5 mm";
  // Two corners of the angle θ lose r² (1/tan(θ/2) − (π − θ)/2) each.
  const double theta = std::acos(1 / std::hypot(20, 1));
  const double loss = 2 * 1.5 * 1.5 * (1 / std::tan(theta / 2) - (pi - theta) / 2);
  const Section rounded = draw_section(make_machine(t));
  EXPECT_NEAR(region(rounded, "slot 1 bottom layer").area, (52.8 - loss) * 1e-6, 1e-14);
}

TEST(DrawSection, ConstantToothWidthIsConstant) {
  const Section s = draw_section(make_machine(salient_texts()));
  int teeth = 0;
  for (const Gauge& gauge : s.gauges) {
    if (gauge.part != Gauge::Part::stator_tooth) continue;
    ++teeth;
    ASSERT_EQ(gauge.cuts.size(), 7u);
    for (const Gauge::Cut& cut : gauge.cuts) EXPECT_NEAR(cut.width, 5.5e-3, 1e-12);
  }
  EXPECT_EQ(teeth, 6);
}

TEST(DrawSection, ToothCutsEndOnTheSlotsAndWrapWithTheSign) {
  const Section s = draw_section(make_machine(cage_texts()));
  for (const Gauge& gauge : s.gauges) {
    if (gauge.part != Gauge::Part::stator_tooth && gauge.part != Gauge::Part::rotor_tooth) continue;
    for (const Gauge::Cut& cut : gauge.cuts) {
      const bool wraps = cut.to_sign < 0;
      const Point to = wraps ? turned(cut.to, s.sector_angle()) : cut.to;
      EXPECT_NEAR(distance(cut.from, to), cut.width, 1e-12) << gauge.name;
    }
    EXPECT_LE(gauge.cuts.front().width, gauge.cuts.back().width + 1e-12) << gauge.name;  // narrow end first
  }
}

// Turns and remanence over one pole pair are balanced: what one pole has, the next has with the other sign.
TEST(DrawSection, SourcesCancelOverTwoPoles) {
  MachineTexts t = magnet_texts();
  t.winding["coil_span"] = "6";
  t.winding["layers"] = "1";
  t.rotor["magnetisation"] = "radial";
  t.stator["slots"] = "36";  // q = 3/2: the sector is a pole pair, with layers = 2
  t.winding = {{"turns_per_coil", "5"}, {"coil_span", "4"}};
  t.slot["tooth_width"] = "7 mm";
  const Section s = draw_section(make_machine(t));
  EXPECT_EQ(s.sign, 1);
  std::map<int, double> turns, magnitude;
  double magnets = 0;
  for (const Region& r : s.regions) {
    turns[r.branch] += r.turns;
    magnitude[r.branch] += std::abs(r.turns);
    if (r.role == Role::magnet) magnets += r.magnetisation.sign;
  }
  for (int phase : {0, 1, 2}) {
    EXPECT_NEAR(turns[phase], 0, 1e-12);
    EXPECT_NEAR(magnitude[phase], 9 * 2 * 5 / 3.0, 1e-12);
  }
  EXPECT_EQ(magnets, 0);
}

TEST(DrawSection, FieldCoilsDriveFluxOutwardAtTheFirstPole) {
  MachineTexts t = salient_texts();
  t.rotor["field_parallel_paths"] = "2";
  const Section s = draw_section(make_machine(t));
  const Region &left = region(s, "pole 1 field coil, left"), &right = region(s, "pole 1 field coil, right");
  EXPECT_GT(left.seed.y, 0);
  EXPECT_EQ(left.turns, 40);  // 80 turns in two paths; +z on the counter-clockwise flank: B along +x (right hand)
  EXPECT_EQ(right.turns, -40);
  EXPECT_EQ(s.branches[left.branch].kind, BranchKind::field);
  EXPECT_NEAR(left.area, 6e-3 * 20e-3, 1e-15);
  EXPECT_NEAR(region(s, "pole 1 coil insulation, left").area, (8 * 22 - 6 * 20) * 1e-6, 1e-15);
}

TEST(DrawSection, BarsAreBranchesAtTheirAngles) {
  const Section s = draw_section(make_machine(cage_texts()));
  ASSERT_EQ(s.branches.size(), 3u + 7u);
  EXPECT_NEAR(s.branches[3].angle, 0, 1e-15);
  EXPECT_NEAR(s.branches[5].angle, 2 * 2 * pi / 28, 1e-15);
  EXPECT_EQ(region(s, "bar 3").branch, 5);
  EXPECT_NEAR(region(s, "bar 3").area, (5 + 2.5) / 2 * 14e-6, 1e-15);
}

TEST(DrawSection, SlotlessShellHasItsZones) {
  const Section s = draw_section(make_machine(layers_texts()));
  EXPECT_EQ(s.sectors, 2);
  EXPECT_EQ(s.sign, -1);
  EXPECT_EQ(s.outer, FarBoundary::open);
  for (const Region& r : s.regions)
    EXPECT_TRUE(r.role != Role::winding || std::abs(r.area - ring(52e-3, 32e-3) / 8) < 1e-15) << r.area;
}

TEST(DrawSection, TheShaftIsWhatTheCaseSays) {
  MachineTexts t = salient_texts();
  EXPECT_EQ(region(draw_section(make_machine(t)), "shaft").material, "shaft-steel");
  t.general["shaft"] = "non-magnetic";
  EXPECT_EQ(region(draw_section(make_machine(t)), "shaft").material, "air");
  t.general["shaft"] = "hollow";
  const Section hollow = draw_section(make_machine(t));
  EXPECT_NEAR(hollow.sides[1].far_radius, 25e-3, 1e-15);
  EXPECT_EQ(hollow.inner, FarBoundary::zero);  // neighbours opposite: the constant is 0
  expect_sound(t);
  MachineTexts whole = cage_texts();
  whole.general["shaft"] = "hollow";
  whole.rotor["bars"] = "29";
  EXPECT_EQ(draw_section(make_machine(whole)).inner, FarBoundary::floating);
  expect_sound(whole);
}

TEST(DrawSection, MagnetsTouchAtFullArc) {
  MachineTexts t = magnet_texts();
  t.rotor["magnet_arc"] = "1";
  expect_sound(t);
  const Section s = draw_section(make_machine(t));
  EXPECT_NEAR(region(s, "magnet 1").area, ring(81.5e-3, 77.5e-3) / 8, 1e-15);
}

}  // namespace
}  // namespace polepitch
