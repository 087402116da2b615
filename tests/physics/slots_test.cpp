// Slots of catalogue machines against closed forms: leakage of a rectangular slot and Carter's factor. Iron without
// reluctance (µr 1e7), which is what the formulas assume.
#include <gtest/gtest.h>

#include <cmath>

#include "post/leakage.h"
#include "tests/cases/case_text_helper.h"
#include "tests/physics/machine_helper.h"
#include "tests/physics/ring_helper.h"
#include "tests/verification_helper.h"

namespace polepitch::test {
namespace {

/// In place of the case's steel.
Materials perfect_iron() {
  Materials materials;
  materials["demo-steel"].name = "demo-steel";
  materials["demo-steel"].kind = "steel";
  materials["demo-steel"].mu_r = 1e7;
  return materials;
}

// Expected (formula): L' = μ0 h/(3b), 1.675516 µH/m for h/b = 4: mean A over the conductor less A on its top. The field
// is uniform there but for the fringe of the mouth, which decays as e^(−2π y/b): 4e-6 behind a wedge of 2 b. The rest
// of the tolerance is the iron's own reluctance.
TEST(Slot, LeakageOfARectangularSlotFullOfConductor) {
  const auto machine = make_machine(case_text("slot"), 0.5, perfect_iron());
  const StaticField& field = *machine->field;
  const StaticSolution solution = machine->field->solve({.currents = {1}});
  const double bore = 0.080, mouth = std::sqrt(bore * bore - 0.0025 * 0.0025), top = mouth + 0.010;
  int found = 0;
  for (const CoilSideAxis& side : coil_side_axes(field)) {
    const Region& region = machine->section.regions[side.region];
    if (region.branch != 0) continue;
    ++found;
    const Point on_top = {top * std::cos(side.angle), top * std::sin(side.angle)};
    const double a = field.mean_potential(solution, side.region) - field.potential(solution, Side::stator, on_top);
    record_check("rectangular slot " + std::to_string(found) + ": leakage per length", 1e6 * a / region.turns, 1.675516,
                 1e-5 * 1.675516, "µH/m", "μ0 h/3b (formula: Field, Emde)", kClosedForm);
  }
  EXPECT_GT(found, 0);
}

// The slot's part of the leakage split runs to the mouth on the bore: μ0 (h/3b + h_wedge/b) (formula) for a field that
// stays uniform. Towards the mouth it fringes into the gap, as if the slot were some tenth of its width shallower: of
// 3.33 widths 3 %; the band is 5 %, on that side.
TEST(Slot, LeakageSplitCountsTheWedge) {
  const auto machine = make_machine(case_text("slot"), 0.5, perfect_iron());
  const StaticSolution solution = machine->field->solve({.currents = {1}});
  const LinkageParts parts = split_linkages(*machine->field, solution)[0];
  const double sides = 4;  // two pole pairs, one coil each
  const double expected = sides * 4e-7 * pi * (4.0 / 3 + 2);
  record_band("slot's part of the leakage split", parts.slot, expected, 0.95, 1,
              "μ0 (h/3b + h_wedge/b), without the fringe of the mouth (formula)", kClosedForm);
  record_check("parts of the leakage split over the linkage", parts.total() / machine->field->linkages(solution)[0], 1,
               1e-10, "1", "sum of the parts (identity)", kByConstruction);
}

/// Flux of four slot pitches under the middle of the pole [Wb/m] at a field current.
double flux_under_pole(const std::string& text) {
  const auto machine = make_machine(text, 1, perfect_iron());
  Excitation e;
  e.currents = {0, 0, 0, 1};
  const StaticSolution solution = machine->field->solve(e);
  const double pitch = 2 * pi / 96, slot = machine->section.winding.slot0_angle;
  const double from = slot + pitch * std::round((-2 * pitch - slot) / pitch);  // on a slot's axis
  const GapField& gap = solution.gap;
  return gap.potential(gap.mean_radius(), from + 4 * pitch) - gap.potential(gap.mean_radius(), from);
}

// Flux under a smooth bore over that under slots of the same machine. Expected: F. W. Carter's exact factor (conformal
// mapping of one deep slot, formula), slot pitch ten gaps. Band 0.5 %: the mapping knows no neighbours, no curvature.
TEST(Slot, CartersFactor) {
  const std::string slots = case_text("carter");
  // Round slots under a bridge of iron without reluctance: the bore is smooth.
  const std::string smooth = replaced(slots, "shape = \"rectangular-open\"\nwidth = \"3 mm\"\nheight = \"20 mm\"",
                                      "shape = \"closed-round\"\ndiameter = \"5 mm\"");
  const double whole = flux_under_pole(smooth);
  EXPECT_GT(whole, 0);
  struct Row {
    const char* width;
    double factor;
  };
  for (const Row& row : {Row{"1 mm", 1.015549}, Row{"3 mm", 1.126969}, Row{"5 mm", 1.338270}}) {
    const double factor = whole / flux_under_pole(replaced(slots, "width = \"3 mm\"\nh",
                                                           std::string("width = \"") + row.width + "\"\nh"));
    record_check(std::string("Carter's factor of the field, opening ") + row.width, factor, row.factor,
                 0.005 * row.factor, "1", "Carter 1901, conformal mapping (formula)", kClosedForm);
  }
}

}  // namespace
}  // namespace polepitch::test
