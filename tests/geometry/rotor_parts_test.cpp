// The newer rotors: areas and places of their parts from the dimensions (formulas), and hints that are right.
#include <fmt/format.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <cstdio>
#include <numbers>

#include "geometry/pole_parts.h"
#include "machine_helper.h"

namespace polepitch {
namespace {

using namespace testing;

constexpr double pi = std::numbers::pi;

double area_of(const Section& s, Role role) {
  double area = 0;
  for (const Region& region : s.regions)
    if (region.side == Side::rotor && region.role == role) area += region.area;
  return area;
}

const Gauge& gauge(const Section& s, const std::string& begin) {
  const auto it =
      std::find_if(s.gauges.begin(), s.gauges.end(), [&](const Gauge& g) { return g.name.rfind(begin, 0) == 0; });
  if (it == s.gauges.end()) throw std::logic_error("no gauge " + begin);
  return *it;
}

// The sector is one of eight poles: one flat magnet, two of a V, one spoke.
TEST(RotorParts, MagnetsAreRectangles) {
  EXPECT_NEAR(area_of(draw_section(make_machine(rotor_texts("buried-flat"))), Role::magnet), 38e-3 * 5e-3, 1e-12);
  EXPECT_NEAR(area_of(draw_section(make_machine(rotor_texts("buried-v"))), Role::magnet), 2 * 17e-3 * 5e-3, 1e-12);
  EXPECT_NEAR(area_of(draw_section(make_machine(rotor_texts("spoke"))), Role::magnet), 28e-3 * 10e-3, 1e-12);
}

// Bread loaf: width 2 R sin(half) times its height from the flat to the chord, and the segment above the chord.
TEST(RotorParts, BreadLoafAndSleeve) {
  const Section s = draw_section(make_machine(rotor_texts("surface-magnet +")));
  const double r = 80.5e-3, half = 0.7 * pi / 8, bottom = r - 6e-3;
  const double body = 2 * r * std::sin(half) * (r * std::cos(half) - bottom);
  EXPECT_NEAR(area_of(s, Role::magnet), body + r * r * (half - std::sin(half) * std::cos(half)), 1e-12);
  EXPECT_NEAR(area_of(s, Role::sleeve), pi * (81.5e-3 * 81.5e-3 - r * r) / 8, 1e-12);
}

// Bridges are as thick as the case says, ribs as wide.
TEST(RotorParts, BridgesAndRibs) {
  for (const char* name : {"buried-flat", "buried-v"})
    EXPECT_NEAR(gauge(draw_section(make_machine(rotor_texts(name))), "left bridge").cuts[0].width, 1e-3, 1e-12) << name;
  EXPECT_NEAR(gauge(draw_section(make_machine(rotor_texts("buried-v"))), "rib of pole").cuts[0].width, 1.5e-3, 1e-12);
  const Section s = draw_section(make_machine(rotor_texts("reluctance +")));
  for (const char* barrier : {"1", "2", "3"}) {
    EXPECT_NEAR(gauge(s, std::string("left bridge of barrier ") + barrier).cuts[0].width, 0.8e-3, 1e-12);
    EXPECT_NEAR(gauge(s, std::string("rib of barrier ") + barrier).cuts[0].width, 1e-3, 1e-12);
  }
}

// On the q-axis: barriers as thick as stated, guides the rest.
TEST(RotorParts, FluxGuides) {
  const Section s = draw_section(make_machine(rotor_texts("reluctance")));
  const double guides[] = {5e-3, 13e-3 - 5e-3 - 3e-3, 21e-3 - 13e-3 - 4e-3};
  for (int i = 0; i < 3; ++i)
    EXPECT_NEAR(gauge(s, fmt::format("flux guide {}", i + 1)).cuts[0].width, guides[i], 1e-12);
  EXPECT_NEAR(gauge(s, "rotor yoke under").cuts[0].width, 81.9e-3 - 25e-3 - 30e-3, 1e-12);
}

// Magnets of neighbouring poles oppose one another; a spoke pushes towards the north pole on the x axis.
TEST(RotorParts, DirectionsOfMagnets) {
  MachineTexts texts = rotor_texts("spoke");
  texts.wound = false;
  texts.general["pole_pairs"] = "1";
  texts.stator["slots"] = "7";  // nothing repeats: the whole machine is drawn
  texts.rotor["magnet_height"] = "20 mm";
  std::vector<double> directions;
  for (const Region& region : draw_section(make_machine(texts)).regions)
    if (region.role == Role::magnet) directions.push_back(region.magnetisation.direction);
  ASSERT_EQ(directions.size(), 2u);
  for (double direction : directions) EXPECT_NEAR(std::cos(direction), 1, 1e-12);
}

// Graded coils: MMF of a pole is the sum of its turns, each with two sides; none is left over.
TEST(RotorParts, ConcentricCoils) {
  const Section s = draw_section(make_machine(rotor_texts("cylindrical")));
  std::map<int, double> turns;  // by the distance from the pole axis
  double sum = 0;
  for (const Region& region : s.regions) {
    if (region.role != Role::field_winding) continue;
    EXPECT_EQ(s.branches[region.branch].kind, BranchKind::field);
    const double degrees = std::atan2(region.seed.y, region.seed.x) * 180 / pi;
    turns[static_cast<int>(std::lround(std::abs(degrees) * 100))] += std::abs(region.turns) / 2;
    EXPECT_EQ(region.turns > 0, degrees > 0) << region.name;
    sum += region.turns;
  }
  EXPECT_NEAR(sum, 0, 1e-12);
  // Pole pitch 45 degrees, slot pitch 7.5: coils at 22.5 − 1.5 · 7.5 and 22.5 − 0.5 · 7.5 degrees.
  EXPECT_EQ(turns, (std::map<int, double>{{1125, 12}, {1875, 20}}));
}

TEST(RotorParts, DamperBars) {
  const Section s = draw_section(make_machine(rotor_texts("salient-pole +")));
  int bars = 0;
  for (const Region& region : s.regions) {
    if (region.role != Role::bar) continue;
    ++bars;
    EXPECT_NEAR(region.area, pi * 1.5e-3 * 1.5e-3, 1e-12);
    ASSERT_GE(region.branch, 0);
    EXPECT_EQ(s.branches[region.branch].kind, BranchKind::damper);
    EXPECT_NEAR(s.branches[region.branch].angle, std::atan2(region.seed.y, region.seed.x), 1e-12);
    EXPECT_NEAR(std::hypot(region.seed.x, region.seed.y), 81.5e-3 - 0.5e-3 - 1.5e-3, 1e-12);
  }
  EXPECT_EQ(bars, 5);
}

struct Wrong {
  const char *rotor, *name, *value, *expected;
};

// Each is refused in the words of the case, and the value that the hint names is accepted.
TEST(RotorParts, FaultsAndTheirHints) {
  for (const Wrong& w : std::vector<Wrong>{
           {"buried-flat", "magnet_width", "70 mm", "rotor.magnet_depth = 5 mm lets the corners of the magnet reach"},
           {"buried-flat", "pocket_width", "12 mm", "rotor.magnet_width = 38 mm lets the end pocket reach into"},
           {"buried-flat", "magnet_thickness", "55 mm", "rotor.magnet_thickness = 55 mm leaves no core between magnet"},
           {"buried-v", "magnet_width", "25 mm", "rotor.magnet_width = 25 mm lets the outer pocket reach into"},
           {"spoke", "magnet_height", "52 mm", "rotor.magnet_height = 52 mm leaves no core between magnet and shaft"},
           {"spoke +", "opening_width", "11 mm", "rotor.opening_width = 11 mm leaves no lips"},
           {"reluctance", "rib", "0.05 mm", "rotor.rib = 0.05 mm is too thin to be drawn"},
           {"surface-magnet +", "magnet_thickness", "3 mm", "rotor.magnet_thickness = 3 mm leaves no edge"},
           {"salient-pole +", "damper_pitch", "12 mm", "rotor.damper_pitch = 12 mm lets the outer bars reach out"}}) {
    MachineTexts texts = rotor_texts(w.rotor);
    texts.rotor[w.name] = w.value;
    const Outcome outcome = try_to_draw(texts);
    EXPECT_FALSE(outcome.drawn) << w.expected;
    EXPECT_NE(outcome.text.find(w.expected), std::string::npos) << w.expected << "\n" << outcome.text;
    if (outcome.text.find(std::string("rotor.") + w.name) != 0) continue;  // another parameter is to blame
    const std::size_t hint = outcome.text.find("\n  ");
    double allowed = 0;
    ASSERT_EQ(std::sscanf(outcome.text.c_str() + outcome.text.find_first_of("0123456789", hint), "%lf", &allowed), 1);
    texts.rotor[w.name] =
        fmt::format("{}{}", allowed, std::string(w.value).find("mm") == std::string::npos ? "" : " mm");
    const Outcome second = try_to_draw(texts);
    EXPECT_TRUE(second.drawn) << outcome.text << "then: " << second.text;
  }
}

TEST(RotorParts, CountsOfCoilsAndBarriers) {
  MachineTexts texts = rotor_texts("cylindrical");
  texts.rotor["wound_slots"] = "8";
  texts.rotor["coil_turns"] = "1, 2, 3";
  const std::string faults = try_to_draw(texts).text;
  EXPECT_NE(faults.find("rotor.wound_slots = 8: 8 poles need more than the 48 pitches"), std::string::npos) << faults;
  EXPECT_NE(faults.find("rotor.coil_turns lists 3 coils, but a pole has 4"), std::string::npos) << faults;
  texts = rotor_texts("reluctance");
  texts.rotor["barrier_spans"] = "0.4, 0.6";
  EXPECT_NE(try_to_draw(texts).text.find("list 3, 3 and 2 values"), std::string::npos);
  texts.rotor["barrier_spans"] = "0.35, 0.57, 0.98";
  EXPECT_NE(try_to_draw(texts).text.find("rotor.barrier_spans[2] = 0.98 lets the barrier 3 reach into the next pole"),
            std::string::npos);
}

// Formula: two squares of side 1 whose nearest sides are 2 apart; crossing and enclosing ones have no distance.
TEST(RotorParts, LeastDistance) {
  const auto square = [](double x, double side) {
    return polygon({{x, 0}, {x + side, 0}, {x + side, side}, {x, side}});
  };
  EXPECT_NEAR(least_distance(square(0, 1), square(3, 1)), 2, 1e-12);
  EXPECT_EQ(least_distance(square(0, 1), square(0.5, 1)), 0);
  EXPECT_EQ(least_distance(polygon({{-5, -5}, {5, -5}, {5, 5}, {-5, 5}}), square(0, 1)), 0);
}

}  // namespace
}  // namespace polepitch
