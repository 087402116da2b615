#include "post/end_winding.h"

#include <gtest/gtest.h>

#include "solver/bh_curve.h"
#include "tests/verification_helper.h"

using namespace polepitch;

namespace {

Block winding(int turns, int paths, int span) {
  Block block;
  const auto set = [&](const std::string& name, ValueData data) {
    block.values.set(name, {std::move(data), {}, true});
  };
  set("phases", 3);
  set("layers", 2);
  set("turns_per_coil", turns);
  set("parallel_paths", paths);
  set("strands", 1);
  if (span > 0) set("coil_span", span);
  return block;
}

}  // namespace

// Hand example of the formula of Pyrhönen, Jokinen, Hrabovcová (memory): m 3, Q 36, p 2 (q 3), N 48, l_ew 80 mm,
// W_ew 200 mm: (4 · 3/36) · 3 · 48² · 4π·10⁻⁷ · (2 · 0.08 · 0.5 + 0.2 · 0.2) = 347.4 µH.
TEST(EndWinding, leakage_of_a_hand_example) {
  const WindingLayout layout = lay_out_winding(winding(8, 2, 0), 36, 2);
  ASSERT_DOUBLE_EQ(layout.turns_in_series(), 48);
  const EndTurn end{.span = 0.2, .axial = 0.08, .length = 0.36, .method = ""};
  test::record_check("end-winding leakage of a hand example", 1e6 * end_winding_inductance(layout, end), 347.4, 0.05,
                     "µH", "Pyrhönen, Jokinen, Hrabovcová (memory), worked by hand", test::kByHand);
  // formula: the book's form with its slots and q, for another winding
  const WindingLayout other = lay_out_winding(winding(5, 1, 4), 36, 3);
  const double n = other.turns_in_series(), q = 36.0 / (2 * 3 * 3);
  EXPECT_NEAR(end_winding_inductance(other, end, {0.3, 0.4}),
              4.0 * 3 / 36 * q * n * n * mu0 * (2 * 0.08 * 0.3 + 0.2 * 0.4), 1e-12);
}

TEST(EndWinding, mean_span_counts_the_shorter_way_round) {
  EXPECT_DOUBLE_EQ(mean_coil_span(lay_out_winding(winding(5, 1, 7), 36, 2)), 7);
  EXPECT_DOUBLE_EQ(mean_coil_span(lay_out_winding(winding(5, 1, 1), 12, 5)), 1);
  EXPECT_DOUBLE_EQ(mean_coil_span(lay_out_winding(winding(5, 1, 5), 12, 1)), 5);
}

// formula: as the header states them
TEST(EndWinding, length_estimates) {
  const EndTurn full = end_turn(lay_out_winding(winding(5, 1, 0), 36, 2), 0.1, winding(5, 1, 0));
  EXPECT_NEAR(full.span, 2 * pi * 0.1 * 9 / 36, 1e-12);
  EXPECT_NEAR(full.length, 1.2 * full.span + 0.05, 1e-12);
  EXPECT_NEAR(2 * full.axial + full.span, full.length, 1e-12);
  const EndTurn tooth = end_turn(lay_out_winding(winding(5, 1, 1), 12, 5), 0.1, winding(5, 1, 1));
  EXPECT_NEAR(tooth.length, pi / 2 * 2 * pi * 0.1 / 12, 1e-12);
}

TEST(EndWinding, given_overhang_and_height_are_used) {
  Block given = winding(5, 1, 0);
  given.values.set("overhang", {0.02, {}, true});
  given.values.set("end_height", {0.06, {}, true});
  const EndTurn end = end_turn(lay_out_winding(given, 36, 2), 0.16 / (2 * pi * 9 / 36), given);
  EXPECT_NEAR(end.span, 0.16, 1e-12);
  EXPECT_NEAR(end.length, 2 * 0.02 + 2 * 0.1, 1e-12);  // slants of 60 mm over 80 mm: 100 mm each
  EXPECT_NEAR(end.axial, 0.08, 1e-12);
}
