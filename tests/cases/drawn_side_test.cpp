// Stators and rotors from drawings: a catalogue section written as DXF and read back as a drawn machine is the same
// machine. Expected values: the areas, sources and fields of the section that was written (true by construction: these
// tests are of the code), and areas in closed form of the invented lamination of cases/machines/drawn-motor.dxf.
#include <fmt/format.h>
#include <gtest/gtest.h>

#include <cmath>
#include <map>
#include <numbers>

#include "cases/run_case.h"
#include "cases/toml_tree.h"
#include "cases/variation_plan.h"
#include "geometry/drawn_side.h"
#include "geometry/dxf_writer.h"
#include "post/region_shape.h"
#include "tests/cases/case_text_helper.h"
#include "tests/cases/drawn_twin_helper.h"
#include "tests/cases/ready_case_helper.h"

namespace polepitch {
namespace {

const std::string machines = std::string(SOURCE_DIR) + "/cases/machines/";
constexpr double pi = std::numbers::pi;

std::map<std::pair<int, int>, double> areas_by_role(const Section& section) {
  std::map<std::pair<int, int>, double> areas;
  for (const Region& r : section.regions)
    areas[{static_cast<int>(r.side), static_cast<int>(r.role)}] += r.area * section.sectors;
  return areas;
}

// ∑ turns² and the sources' first moments about the axis: what a wrong sign, pole or phase would change.
std::vector<double> sources(const Section& section) {
  std::vector<double> sums(8, 0.0);
  for (const Region& r : section.regions) {
    const Point centre = centre_of_area(section, r);
    const double angle = section.pole_pairs * std::atan2(centre.y, centre.x);
    for (int k = 0; k < 3; ++k)
      if (r.role == Role::winding && r.branch == k) sums[static_cast<std::size_t>(k)] += r.turns * std::sin(angle);
    if (r.role == Role::field_winding) sums[3] += r.turns * std::sin(angle);
    if (r.role == Role::field_winding) sums[4] += r.turns * r.turns;
    if (r.role == Role::magnet) sums[5] += 1;
    const Magnetisation& m = r.magnetisation;
    const double own = std::atan2(centre.y, centre.x);
    if (m.pattern == Magnetisation::Pattern::parallel)
      sums[6] += r.area * std::cos(m.direction - own) * std::cos(angle);
    if (m.pattern == Magnetisation::Pattern::radial) sums[7] += r.area * m.sign * std::cos(angle);
  }
  return sums;
}

/// Area of the coil sides at the slot bottoms.
double bottom_area(const Section& section) {
  double sum = 0;
  for (const Region& region : section.regions)
    if (region.side == Side::stator && region.role == Role::winding && region.layer == 0) sum += region.area;
  return sum;
}

TEST(DrawnSide, EveryReadyCaseIsTheSameMachineAsADrawing) {
  for (const std::string& name : ready_cases()) {
    if (name == "drawn-motor") continue;  // is a drawing
    SCOPED_TRACE(name);
    const Case kase = read_case(machines + name + ".toml");
    const std::string& rotor = kase.machine.rotor.type;
    if (rotor == "double-cage" || rotor == "wound") continue;  // a drawn rotor has one cage and no phases
    const Section section = draw_section(kase.machine);
    const Case twin = read_case_text(drawn_twin(kase, section, "m.dxf"), {{"m.dxf", dxf_text(section)}});
    const Section drawn = draw_section(twin.machine);
    EXPECT_EQ(drawn.sectors, section.sectors);
    EXPECT_EQ(drawn.sign, section.sign);
    EXPECT_EQ(drawn.branches.size(), section.branches.size());
    EXPECT_NEAR(drawn.sides[0].far_radius, section.sides[0].far_radius, 1e-12);
    EXPECT_NEAR(drawn.sides[1].far_radius, section.sides[1].far_radius, 1e-12);
    const auto expected = areas_by_role(section), found = areas_by_role(drawn);
    ASSERT_EQ(found.size(), expected.size());
    for (const auto& [role, area] : expected)
      EXPECT_NEAR(found.at(role) / area, 1, 1e-9) << "side " << role.first << " role " << role.second;
    EXPECT_NEAR(bottom_area(drawn), bottom_area(section), 1e-9 * bottom_area(section));
    const std::vector<double> before = sources(section), after = sources(drawn);
    for (std::size_t i = 0; i < before.size(); ++i)
      EXPECT_NEAR(after[i], before[i], 1e-6 * std::abs(before[i]) + 1e-9) << i;
  }
}

const Quantity& found_in(const RunReport& report, const std::string& study, const std::string& name) {
  for (const Quantity& q : report.results.quantities)
    if (q.study == study && q.name == name) return q;
  throw std::runtime_error("no " + name);
}

TEST(DrawnSide, FieldTorqueAndReactanceOfAMagnetMotorStayTheSame) {
  const FreshDirectory directory;
  std::string text = read_text_file(machines + "v-magnet-motor.toml");
  text = replaced(text.substr(0, text.find("[[study]]")), "mesh.accuracy = 0.002", "mesh.accuracy = 0.004");
  write_text(directory / "catalogue.toml", text);
  const Case kase = read_case(directory / "catalogue.toml");
  const Section section = draw_section(kase.machine);
  write_text(directory / "m.dxf", dxf_text(section));
  const std::string studies =
      "[[study]]\ntype = \"operating-point\"\nphase_current = \"95 A\"\ncurrent_angle = \"125 deg\"\npositions = 3\n"
      "[[study]]\ntype = \"reactances\"\nphase_current = \"95 A\"\ncurrent_angle = \"125 deg\"\npositions = 2\n";
  write_text(directory / "catalogue.toml", text + studies);
  write_text(directory / "drawn.toml", drawn_twin(kase, section, "m.dxf") + studies);
  Progress progress(false);
  RunReport reports[2];
  for (int i = 0; i < 2; ++i)
    reports[i] = run_case(
        {directory / (i == 0 ? "catalogue.toml" : "drawn.toml"), directory / (i == 0 ? "a" : "b"), 1, true, ""},
        progress);
  // Tolerance: the errors that both runs state.
  for (const auto& [study, name] : {std::pair{"operating-point", "B_r1"},
                                    {"operating-point", "torque_mean"},
                                    {"reactances", "X_d_apparent"},
                                    {"reactances", "X_q_apparent"}}) {
    const Quantity &a = found_in(reports[0], study, name), &b = found_in(reports[1], study, name);
    EXPECT_NEAR(b.value, a.value, a.error.value_or(0) + b.error.value_or(0)) << name;
    EXPECT_GT(std::abs(a.value), 0) << name;
  }
  for (const char* part : {"stator tooth", "stator yoke"}) {  // gauges: cut by circles here, along depths there
    double value[2] = {0, 0};
    for (int i = 0; i < 2; ++i)
      for (const FluxDensityRow& row : reports[i].results.flux_tables.at(0).rows)
        if (row.part == part) value[i] = row.largest;
    EXPECT_GT(value[0], 0.5) << part;
    EXPECT_NEAR(value[1] / value[0], 1, 0.01) << part;  // chord of a circle against the width across the tooth
  }
}

Section lamination(const std::string& from = "", const std::string& to = "") {
  std::string text = read_text_file(machines + "drawn-motor.toml");
  if (!from.empty()) text = replaced(text, from, to);
  return draw_section(
      read_case_text(text, {{"drawn-motor.dxf", read_text_file(machines + "drawn-motor.dxf")}}).machine);
}

double area_of(const Section& section, Side side, Role role) {
  const auto areas = areas_by_role(section);
  return areas.at({static_cast<int>(side), static_cast<int>(role)}) * 1e6;
}

// Formula: circles, rectangles, circular segments of the dimensions in tests/geometry/drawings/make_lamination.py, in
// mm.
TEST(DrawnSide, AreasOfTheInventedLamination) {
  const Section section = lamination();
  EXPECT_EQ(section.sectors, 6);
  EXPECT_EQ(section.sign, -1);
  const auto segment = [](double r, double half) {  // between a chord of 2 half and its arc
    const double angle = std::asin(half / r);
    return r * r * angle - half * std::sqrt(r * r - half * half);
  };
  const double low = std::sqrt(39.5 * 39.5 - 256), high = 12 + std::sqrt(32.2 * 32.2 - 256);
  const double magnet = 32 * (high - low) + segment(32.2, 16) - segment(39.5, 16);
  EXPECT_NEAR(area_of(section, Side::rotor, Role::magnet), 6 * magnet, 6 * magnet * 1e-9);
  const double core = pi * (39.5 * 39.5 - 15 * 15 - 6 * 16);
  EXPECT_NEAR(area_of(section, Side::rotor, Role::core), core, core * 1e-9);
  const double alpha = pi / 36;
  const auto half = [&](double r) { return (r * std::sin(alpha) - 2.1) / std::cos(alpha); };
  const double bottom = half(61), angle = 4 * std::atan(0.5), r = bottom / std::sin(angle / 2);
  const double coil = (half(47) + bottom) * 14 + r * r / 2 * (angle - std::sin(angle));
  EXPECT_NEAR(area_of(section, Side::stator, Role::winding), 36 * coil, 36 * coil * 1e-9);
}

// The sector as a block that is inserted six times: a drawing of the whole circle, whose symmetry is then found.
TEST(DrawnSide, WholeCircleOfInsertsIsTheSameAsItsSector) {
  std::string text = read_text_file(machines + "drawn-motor.dxf");
  const auto head = text.find("  2\nENTITIES\n") + std::string("  2\nENTITIES\n").size();
  const auto tail = text.find("  0\nENDSEC\n", head);
  const std::string entities = text.substr(head, tail - head);
  std::string inserts;
  for (int k = 0; k < 6; ++k) inserts += "0\nINSERT\n8\n0\n2\nPART\n10\n0\n20\n0\n50\n" + std::to_string(60 * k) + "\n";
  const std::string dxf =
      "0\nSECTION\n2\nHEADER\n9\n$INSUNITS\n70\n4\n0\nENDSEC\n0\nSECTION\n2\nBLOCKS\n0\nBLOCK\n8\n0\n2\nPART\n10\n0\n"
      "20\n0\n" +
      entities + "0\nENDBLK\n0\nENDSEC\n0\nSECTION\n2\nENTITIES\n" + inserts + "0\nENDSEC\n0\nEOF\n";
  std::string kase = read_text_file(machines + "drawn-motor.toml");
  kase = replaced(kase, "air_gap = \"0.8 mm\"", "axis = \"30 deg\"\nair_gap = \"0.8 mm\"");
  // Edges of the sector would divide the whole: they are left out of the block.
  std::string whole = dxf;
  for (auto at = whole.find("LINE\n"); at != std::string::npos; at = whole.find("LINE\n", at + 1)) {
    if (at < 4 || whole.compare(at - 4, 4, "  0\n") != 0) continue;
    const auto end = whole.find("\n  0\n", at);
    const std::string record = whole.substr(at, end - at);
    if (record.find("\nSTATOR\n") != std::string::npos || record.find("\nROTOR\n") != std::string::npos)
      whole.erase(at - 4, end + 1 - (at - 4)), at = std::max<std::size_t>(at, 6) - 5;
  }
  const Section section = draw_section(read_case_text(kase, {{"drawn-motor.dxf", whole}}).machine),
                sector = lamination();
  EXPECT_EQ(section.sectors, 6);
  EXPECT_EQ(section.sign, -1);
  const auto expected = areas_by_role(sector), found = areas_by_role(section);
  ASSERT_EQ(found.size(), expected.size());
  for (const auto& [role, area] : expected) EXPECT_NEAR(found.at(role) / area, 1, 1e-9);
}

std::string dxf_line(double x0, double y0, double x1, double y1) {
  return fmt::format("0\nLINE\n8\nSLOT\n10\n{:.17g}\n20\n{:.17g}\n11\n{:.17g}\n21\n{:.17g}\n", x0, y0, x1, y1);
}

std::string dxf_arc(double x, double y, double r, double from, double to) {
  return fmt::format("0\nARC\n8\nSLOT\n10\n{:.17g}\n20\n{:.17g}\n40\n{:.17g}\n50\n{:.17g}\n51\n{:.17g}\n", x, y, r,
                     from, to);
}

std::string dxf_of(const std::string& entities) {
  return "0\nSECTION\n2\nHEADER\n9\n$INSUNITS\n70\n4\n0\nENDSEC\n0\nSECTION\n2\nENTITIES\n" + entities +
         "0\nENDSEC\n0\nEOF\n";
}

// A closed drop-shaped bar on the y axis and an open slot with hollow shoulders on the x axis. Formula: hull of two
// circles; rectangles and quarter circles.
TEST(DrawnSide, SlotsFromDrawings) {
  const double c1 = 41.5, r1 = 2, c2 = 35, r2 = 1.2, d = c1 - c2, tilt = std::asin((r1 - r2) / d);
  const auto x = [&](double r) { return r * std::cos(tilt); };
  const auto y = [&](double c, double r) { return c - r * std::sin(tilt); };
  const double deg = 180 / pi * tilt;
  const std::string bar = dxf_arc(0, c1, r1, -deg, 180 + deg) + dxf_arc(0, c2, r2, 180 + deg, 360 - deg) +
                          dxf_line(x(r1), y(c1, r1), x(r2), y(c2, r2)) + dxf_line(-x(r2), y(c2, r2), -x(r1), y(c1, r1));
  const double mouth = std::sqrt(45 * 45 - 1.0), neck = 46, rho = 1, bottom = 60;
  const std::string slot = dxf_line(mouth, 1, neck, 1) + dxf_line(mouth, -1, neck, -1) +
                           dxf_arc(neck, 2, rho, 270, 360) + dxf_arc(neck, -2, rho, 0, 90) +
                           dxf_line(neck + rho, 2, bottom, 2) + dxf_line(neck + rho, -2, bottom, -2) +
                           dxf_line(bottom, 2, bottom, -2);
  std::string text = read_text_file(machines + "cage-motor.toml");
  text = text.substr(0, text.find("[[study]]"));
  text = text.substr(0, text.find("[stator]")) + text.substr(text.find("[winding]"));
  const auto rotor = text.find("[rotor]"), rest = text.find("[mesh]");
  text = text.substr(0, rotor) + text.substr(rest) +
         "[stator]\nslots = 48\nbore_diameter = \"90 mm\"\nouter_diameter = \"150 mm\"\n[stator.slot]\nshape = "
         "\"drawing\"\nfile = \"slot.dxf\"\nbody_depth = \"1 mm\"\n[rotor]\ntype = \"cage\"\nair_gap = \"0.8 "
         "mm\"\nbars = 40\n"
         "shaft_diameter = \"20 mm\"\n[rotor.slot]\nshape = \"drawing\"\nfile = \"bar.dxf\"\n";
  const Section section =
      draw_section(read_case_text(text, {{"slot.dxf", dxf_of(slot)}, {"bar.dxf", dxf_of(bar)}}).machine);
  const double hull =
      pi / 2 * (r1 * r1 + r2 * r2) + (r1 * r1 - r2 * r2) * tilt + (r1 + r2) * std::sqrt(d * d - (r1 - r2) * (r1 - r2));
  EXPECT_NEAR(area_of(section, Side::rotor, Role::bar), 40 * hull, 40 * hull * 1e-9);
  const double body = 2 * (2 * rho - pi * rho * rho / 4) + 4 * (bottom - neck - rho);
  EXPECT_NEAR(area_of(section, Side::stator, Role::winding), 48 * body, 48 * body * 1e-9);
}

// A sweep's stored point is of this drawing, not of another one under the same name.
TEST(DrawnSide, PointsOfASweepAreKeyedByTheDrawing) {
  const FreshDirectory directory;
  const std::string path = directory / "drawn-motor.toml", text = read_text_file(machines + "drawn-motor.toml");
  write_text(path, text);
  write_text(directory / "drawn-motor.dxf", "one");
  const std::string one = point_key(parse_toml(text, path), path);
  EXPECT_EQ(point_key(parse_toml(text, path), path), one);
  write_text(directory / "drawn-motor.dxf", "two");
  EXPECT_NE(point_key(parse_toml(text, path), path), one);
}

TEST(DrawnSide, UnevenStatorIsWarnedOf) {
  EXPECT_TRUE(drawn_warnings(read_case(machines + "drawn-motor.toml").machine).empty());
  // One hole in the yoke of each sector: the stator then repeats with neither slots nor phase belts.
  const std::string dxf = replaced(read_text_file(machines + "drawn-motor.dxf"), "  2\nENTITIES\n",
                                   "  2\nENTITIES\n0\nCIRCLE\n8\nSTATOR\n10\n64\n20\n20\n40\n1\n");
  const std::string text = replaced(read_text_file(machines + "drawn-motor.toml"), "[winding]",
                                    "[[stator.area]]\nat = [\"64 mm\", \"20 mm\"]\nrole = \"air\"\n\n[winding]");
  const Case kase = read_case_text(text, {{"drawn-motor.dxf", dxf}});
  const std::vector<std::string> warnings = drawn_warnings(kase.machine);
  ASSERT_EQ(warnings.size(), 1u);
  EXPECT_NE(warnings[0].find("repeats 6 times round the axis"), std::string::npos) << warnings[0];
}

TEST(DrawnSide, LimitOfAPartThatADrawingDoesNotNameIsWarnedOf) {
  const std::string text =
      replaced(read_text_file(machines + "drawn-motor.toml"), "stator_yoke = \"1.6 T\"", "bridge = \"1.6 T\"");
  const Case kase = read_case_text(text, {{"drawn-motor.dxf", read_text_file(machines + "drawn-motor.dxf")}});
  const std::vector<std::string> warnings = drawn_warnings(kase.machine);
  ASSERT_EQ(warnings.size(), 1u);
  EXPECT_NE(warnings[0].find("limits.bridge is not compared"), std::string::npos) << warnings[0];
}

}  // namespace
}  // namespace polepitch
