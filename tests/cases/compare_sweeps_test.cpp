// Sweeps' stores side by side. The stores are filled here by hand.
#include <gtest/gtest.h>

#include <cmath>
#include <filesystem>
#include <nlohmann/json.hpp>

#include "cases/compare.h"
#include "cases/variation_store.h"
#include "geometry/error.h"
#include "tests/cases/case_text_helper.h"

namespace polepitch {
namespace {

/// A store of three openings by two arcs, X_l = factor × opening + arc; the last point failed.
std::string fill(const FreshDirectory& directory, const std::string& name, double factor, bool two = false) {
  std::filesystem::create_directories(directory / name);
  VariationStore store(directory / name + "/sweep.sqlite");
  StoredPlan plan{"plan", "motor", {}, {"X_l"}};
  for (const double arc : two ? std::vector<double>{0.7, 0.8} : std::vector<double>{0.7})
    for (const double opening : {1.0, 2.0, 3.0}) {
      PointRow row;
      row.key = std::to_string(arc) + std::to_string(opening);
      nlohmann::json parameters = {{"stator.slot.opening_width", std::to_string(static_cast<int>(opening)) + " mm"},
                                   {"rotor.magnet_arc", arc}};
      row.parameters = parameters.dump();
      const auto entry = [](double value) {
        return nlohmann::json{{"value", value}, {"unit", "ohm"}, {"error", 0.01}, {"key", true}};
      };
      row.quantities =
          nlohmann::json{{"reactances.X_l", entry(factor * opening + arc)}, {"reactances.X_ad", entry(5)}}.dump();
      if (opening == 3) row.exit_code = 4, row.reason = "no room", row.quantities = "{}";
      store.put(row);
      plan.keys.push_back(row.key);
    }
  plan.keys.push_back("not solved");
  store.remember(plan);
  return directory / name;
}

TEST(CompareSweeps, PointsSideBySideAndCurvesOverOneAnother) {
  const FreshDirectory directory;
  const auto runs = read_runs({fill(directory, "thin", 1), fill(directory, "thick", 1.5)});
  const Comparison c = compare_runs(runs);
  ASSERT_EQ(c.rows.size(), 2U);  // X_l of two points: what the sweep asks for
  EXPECT_EQ(c.rows[1].study, "sweep: reactances.X_l");
  EXPECT_EQ(c.rows[1].name, "opening_width = 2 mm");
  EXPECT_DOUBLE_EQ(c.rows[1].values[0]->value, 2.7);
  EXPECT_DOUBLE_EQ(c.rows[1].values[1]->value, 3.7);
  EXPECT_EQ(c.rows[1].values[1]->difference->verdict, Difference::Verdict::clear);
  ASSERT_EQ(c.curves.size(), 1U);
  EXPECT_EQ(c.curves[0].curve.columns[0].name, "stator.slot.opening_width");
  EXPECT_EQ(c.curves[0].curve.columns[0].unit, "mm");
  EXPECT_EQ(c.curves[0].curve.columns[2].values, (std::vector<double>{2.2, 3.7}));
  const std::string text = comparison_table(runs, c, true);
  EXPECT_NE(text.find("warning: thin: of 4 points of the sweep 1 failed and 1 are not solved yet"), std::string::npos)
      << text;
  write_comparison_page(runs, c, directory / "page.html");
  EXPECT_NE(read_text_file(directory / "page.html").find("data-chart=\"sweep_reactances_X_l_X_l\""), std::string::npos);
}

TEST(CompareSweeps, OfTwoParametersAChartForEachValueOfTheSecond) {
  const FreshDirectory directory;
  const auto runs = read_runs({fill(directory, "thin", 1, true), fill(directory, "thick", 1.5, true)});
  const Comparison c = compare_runs(runs);
  EXPECT_EQ(c.rows.size(), 4U);
  EXPECT_EQ(c.rows[0].name, "magnet_arc = 0.7, opening_width = 1 mm");
  EXPECT_EQ(c.curves.size(), 2U);
}

TEST(CompareSweeps, WhatIsNoStoreIsTold) {
  const FreshDirectory directory;
  const std::string good = fill(directory, "thin", 1);
  std::filesystem::create_directories(directory / "bad");
  write_text(directory / "bad/sweep.sqlite", std::string(5000, 'x'));
  EXPECT_THROW(read_runs({good, directory / "bad"}), FileError);
}

}  // namespace
}  // namespace polepitch
