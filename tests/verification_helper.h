// Checks that docs/verification.md lists: each is asserted here and kept with the running test's results, from which
// tests/house/verification.sh makes the page. A quantity is named once in a test.
#pragma once

#include <cmath>
#include <string>

#include <fmt/format.h>
#include <gtest/gtest.h>

namespace polepitch::test {

/// What a check can tell; the column `kind` of the page.
inline const std::string kClosedForm = "closed form", kPublished = "published", kRate = "rate",
                         kByHand = "hand calculation", kByConstruction = "true by construction: tests the code";

/// One line of the page, its columns in order.
inline void record_row(const std::string& quantity, const std::string& numbers, const std::string& unit,
                       const std::string& source, const std::string& kind) {
  ::testing::Test::RecordProperty("check " + quantity,
                                  fmt::format("| {} | {} | {} | {} | {} |", quantity, numbers, unit, source, kind));
}

/// Expects |computed − expected| <= tolerance, all in `unit` ("1" for ratios).
inline void record_check(const std::string& quantity, double computed, double expected, double tolerance,
                         const std::string& unit, const std::string& source, const std::string& kind) {
  record_row(quantity,
             fmt::format("{:.7g} | {:.7g} | {:.1e} | {:.2g}", computed, expected, computed - expected, tolerance), unit,
             source, kind);
  EXPECT_NEAR(computed, expected, tolerance) << quantity;
}

/// Expects low <= computed/expected <= high: a band that may be one-sided. Only the ratio is kept.
inline void record_band(const std::string& quantity, double computed, double expected, double low, double high,
                        const std::string& source, const std::string& kind) {
  const double ratio = computed / expected;
  record_row(quantity, fmt::format("{:.5g} | {:g} to {:g} | {:.1e} | band", ratio, low, high, ratio - 1), "ratio",
             source, kind);
  EXPECT_GE(ratio, low) << quantity << ": " << computed << " against " << expected;
  EXPECT_LE(ratio, high) << quantity << ": " << computed << " against " << expected;
}

/// Expects computed >= bound.
inline void record_at_least(const std::string& quantity, double computed, double bound, const std::string& unit,
                            const std::string& source, const std::string& kind) {
  record_row(quantity, fmt::format("{:.4g} | at least {:g} | {:.1e} | bound", computed, bound, computed - bound), unit,
             source, kind);
  EXPECT_GE(computed, bound) << quantity;
}

/// Expects computed <= bound.
inline void record_at_most(const std::string& quantity, double computed, double bound, const std::string& unit,
                           const std::string& source, const std::string& kind) {
  record_row(quantity, fmt::format("{:.2g} | at most {:g} | {:.1e} | bound", computed, bound, computed - bound), unit,
             source, kind);
  EXPECT_LE(computed, bound) << quantity;
}

}  // namespace polepitch::test
