// A drawn machine with faults, as a user meets them: lines and places in the message, exit code, picture. The lines
// are counted in the file, the places are the numbers that were put in.
#include <gtest/gtest.h>

#include <array>
#include <filesystem>

#include "tests/cases/case_text_helper.h"
#include "tests/faults/process_helper.h"

namespace polepitch {
namespace {

const std::string machines = std::string(SOURCE_DIR) + "/cases/machines/";

struct Checked {
  Outcome outcome;
  bool picture = false;
  std::uintmax_t picture_size = 0;
};

Checked check(const std::string& kase, const std::string& drawing) {
  const FreshDirectory directory;
  write_text(directory / "drawn-motor.dxf", drawing);
  write_text(directory / "drawn-motor.toml", kase);
  ProcessOptions options;
  options.directory = directory.path();
  Checked run{run_program({"check", "drawn-motor.toml", "-o", "results"}, options)};
  const std::string picture = directory / "results/drawing-faults.png";
  run.picture = std::filesystem::exists(picture);
  if (run.picture) run.picture_size = std::filesystem::file_size(picture);
  return run;
}

void expect_words(const Checked& run, int code, const std::vector<std::string>& words) {
  EXPECT_EQ(run.outcome.exit_code, code) << run.outcome.err;
  EXPECT_EQ(run.outcome.out, "");
  for (const std::string& word : words)
    EXPECT_NE(run.outcome.err.find(word), std::string::npos) << "expected: " << word << "\nsaid: " << run.outcome.err;
}

std::string the_case() {
  return read_text_file(machines + "drawn-motor.toml");
}

std::string the_drawing() {
  return read_text_file(machines + "drawn-motor.dxf");
}

// A loose line in the rotor's core, before the other entities.
std::string with_line(double x0, double y0, double x1, double y1) {
  const std::string line = "0\nLINE\n8\nROTOR\n10\n" + std::to_string(x0) + "\n20\n" + std::to_string(y0) + "\n11\n" +
                           std::to_string(x1) + "\n21\n" + std::to_string(y1) + "\n";
  return replaced(the_drawing(), "  2\nENTITIES\n", "  2\nENTITIES\n" + line);
}

TEST(DrawingFault, OpenEndsOfALooseLineWithLinePlaceAndPicture) {
  const std::string drawing = with_line(30, 5, 36, 12);
  const int line = line_of(drawing, "30.000000") - 4;  // the line that says LINE
  const Checked run = check(the_case(), drawing);
  expect_words(run, 4,
               {"drawn-motor.dxf:" + std::to_string(line) +
                    ": error: LINE on layer ROTOR ends in the open near (30.0000, 5.0000) mm",
                "(36.0000, 12.0000) mm", "hint: the places are shown in results/drawing-faults.png"});
  EXPECT_TRUE(run.picture);
  EXPECT_GT(run.picture_size, 10000u);
}

TEST(DrawingFault, CrossingOfTheShaftHole) {
  const Checked run = check(the_case(), with_line(10, 8, 30, 12));
  expect_words(run, 4, {"LINE on layer ROTOR", "crosses", "ARC"});
  EXPECT_TRUE(run.picture);
}

TEST(DrawingFault, AreaWithoutARole) {
  const std::string text = the_case();
  const auto from = text.find("[[rotor.area]]\nlayer = \"MAGNET\""), to = text.find("[[study]]");
  const Checked run = check(text.substr(0, from) + text.substr(to), the_drawing());
  expect_words(run, 4,
               {"LWPOLYLINE on layer MAGNET bounds an area of 141.7 mm2 that no [[rotor.area]] means", "at = [\""});
  EXPECT_TRUE(run.picture);
}

TEST(DrawingFault, StatedSymmetryThatTheNotchBreaks) {
  const Checked run = check(replaced(the_case(), "slots = 36", "slots = 36\nsymmetry = 36"), the_drawing());
  expect_words(run, 4, {"breaks the symmetry of 36 sectors that [stator] states", "on layer STATOR"});
  EXPECT_TRUE(run.picture);
}

// What is wrong in the case has the case's place.
TEST(DrawingFault, TheCaseDoesNotFitTheDrawing) {
  const std::vector<std::array<std::string, 4>> faults = {
      {"layer = \"MAGNET\"", "layer = \"MAGNETS\"", "rotor.area 3: no area of this side has the layer \"MAGNETS\"",
       "did you mean \"MAGNET\"?"},
      {"air_gap = \"0.8 mm\"", "air_gap = \"0.7 mm\"",
       "rotor.air_gap puts the surface at the gap to the radius 44.3 mm", "0.8 mm is the gap of the drawing"},
      // Wider than drawn: part of the rotor is left out, and the hint still has to name the drawing's gap, whose
      // rotor reaches to 44.2 mm in a bore of 45 mm.
      {"air_gap = \"0.8 mm\"", "air_gap = \"8 mm\"", "to the radius 37 mm, but the drawn rotor reaches to 44.2 mm",
       "0.8 mm is the gap of the drawing"},
      {"air_gap = \"0.8 mm\"", "air_gap = \"2 mm\"", "to the radius 43 mm, where the LWPOLYLINE of line",
       "0.8 mm is the gap of the drawing"},
      {"bore_diameter = \"90 mm\"", "bore_diameter = \"91 mm\"", "the radius 45.5 mm, where the LWPOLYLINE of line",
       "the surface at the gap is that of the drawing"},
      {"slots = 36", "slots = 27",
       "stator.slots = 27 with 2 layers needs 54 areas of the role winding, the drawing has 72",
       "one area for each layer"},
      {"slots = 36", "slots = 36\ncopies = 8", "stator.copies = 8 would overlap: what is drawn covers 60 deg",
       "at most 6"},
      {"slots = 36", "slots = 36\nunit = \"cm\"", "but the drawn stator reaches to", "of the drawing"},
      {"role = \"winding\"", "role = \"bar\"", "stator.area 2.role = \"bar\" cannot be in the stator", "role winding"},
      {"role = \"magnet\"", "role = \"winding\"", "rotor.area 3.role = \"winding\" cannot be in the rotor",
       "the rotor type wound has them"},
      {"material = \"demo-magnet\"\n", "", "rotor.area 3.material is missing", "no default"},
      {"material = \"demo-magnet\"", "material = \"demo-magnets\"",
       "rotor.area 3.material = \"demo-magnets\" is not a known", "demo-magnet"},
      {"file = \"drawn-motor.dxf\"", "file = \"none.dxf\"", "cannot read the drawing", "relative to the case file"},
      {"[[rotor.area]]\nlayer = \"HOLE\"", "[[rotor.area]]\nat = [\"27 mm\", \"0 mm\"]\nlayer = \"HOLE\"",
       "rotor.area 2.at stands beside a layer", "a point means one area"},
      {"type = \"drawing\"\nfile = \"drawn-motor.dxf\"\nair_gap", "type = \"cage\"\nair_gap",
       "a cage rotor has no areas to name", "only type"},
  };
  for (const auto& [from, to, words, hint] : faults) {
    SCOPED_TRACE(to);
    const Checked run = check(replaced(the_case(), from, to), the_drawing());
    expect_words(run, 3, {"drawn-motor.toml:", words, hint});
    EXPECT_FALSE(run.picture);
  }
}

TEST(DrawingFault, NewWritesTheDrawingBesideTheCase) {
  const FreshDirectory directory;
  ProcessOptions options;
  options.directory = directory.path();
  EXPECT_EQ(run_program({"new", "drawn-motor", "-o", "mine.toml"}, options).exit_code, 0);
  EXPECT_EQ(read_text_file(directory / "drawn-motor.dxf"), the_drawing());
  const Outcome again = run_program({"new", "drawn-motor", "-o", "second.toml"}, options);
  EXPECT_EQ(again.exit_code, 0) << again.err;  // the same drawing is there already
  write_text(directory / "drawn-motor.dxf", "mine");
  const Outcome refused = run_program({"new", "drawn-motor", "-o", "third.toml"}, options);
  EXPECT_EQ(refused.exit_code, 7);
  EXPECT_EQ(read_text_file(directory / "drawn-motor.dxf"), "mine");
  EXPECT_FALSE(std::filesystem::exists(directory / "third.toml"));
}

}  // namespace
}  // namespace polepitch
