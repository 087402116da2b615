// Directories of runs read again and compared. The files are written here by hand, in the form that runs have.
#include "cases/compare.h"

#include <gtest/gtest.h>

#include <filesystem>
#include <nlohmann/json.hpp>

#include "geometry/error.h"
#include "tests/cases/case_text_helper.h"

namespace polepitch {
namespace {

std::string summary(const std::string& torque) {
  return R"({"case": "motor", "program_version": "0.1.0", "quantities": [{"study": "slip", "name": "torque_mean",
    "at": {"point": "rated speed"}, "positions": 1, "ripple": null, "method": "m", "value": )" +
         torque + R"(, "unit": "N m", "error": 0.5, "definition": "Torque."}], "key_results": [0],
    "flux_density": [{"study": "slip", "rows": [{"part": "stator tooth", "largest": 1.8, "error": null}]}],
    "curves": [{"study": "slip", "name": "curve", "title": "Torque over slip", "spectrum": false, "columns":
      [{"name": "slip", "unit": "", "drawn": true, "error": null},
       {"name": "torque", "unit": "N m", "drawn": true, "error": 0.2}]}],
    "warnings": ["a warning"]})";
}

struct TwoRuns {
  FreshDirectory directory;
  std::vector<std::string> paths;
  TwoRuns(const std::string& first, const std::string& second,
          const std::string& csv = "slip,torque [N m]\n0,1\n1,2.5\n") {
    for (const auto& [name, text] : {std::pair{"thin", first}, {"thick", second}}) {
      paths.push_back(directory / name);
      std::filesystem::create_directories(paths.back());
      write_text(paths.back() + "/summary.json", text);
      write_text(paths.back() + "/slip_curve.csv", csv);
    }
  }
};

TEST(Compare, ReadsRunsAndTellsTheirDifferences) {
  const TwoRuns two(summary("100"), summary("112.5"));
  const auto runs = read_runs(two.paths);
  EXPECT_EQ(runs[1].label, "thick");
  EXPECT_EQ(runs[0].results.curves[0].columns[1].values, (std::vector<double>{1, 2.5}));
  const Comparison c = compare_runs(runs);
  const std::string text = comparison_table(runs, c, true);
  for (const char* part : {"thin", "thick", "at point = rated speed", "112.5 ± 0.5", "+12.50 % *", "stator tooth",
                           "a = thin,  b = thick", "warning: thick: a warning"})
    EXPECT_NE(text.find(part), std::string::npos) << part << "\n" << text;
  const auto json = nlohmann::json::parse(comparison_json(runs, c));
  EXPECT_EQ(json["quantities"][0]["values"][1]["verdict"], "clear");
  EXPECT_DOUBLE_EQ(json["quantities"][0]["values"][1]["relative"], 0.125);
  EXPECT_EQ(json["runs"][0]["case"], "motor");
  write_comparison_page(runs, c, two.directory / "page.html");
  EXPECT_NE(read_text_file(two.directory / "page.html").find("data-chart=\"slip_curve_torque\""), std::string::npos);
}

/// Summaries of a program that did not list its key results yet: every quantity counts as one.
TEST(Compare, OlderSummariesShowEverything) {
  std::string older = summary("100");
  older.erase(older.find("\"key_results\": [0],"), std::string("\"key_results\": [0],").size());
  const TwoRuns two(older, summary("112.5"));
  const auto runs = read_runs(two.paths);
  EXPECT_TRUE(runs[0].results.quantities[0].key_result);
}

TEST(Compare, RunsOfOneNameAreToldApartByTheirPaths) {
  const TwoRuns two(summary("1"), summary("2"));
  const auto runs = read_runs({two.paths[0], two.paths[0]});
  EXPECT_NE(runs[0].label, runs[1].label);
}

std::string refusal(const std::vector<std::string>& paths) {
  try {
    read_runs(paths);
  } catch (const Error& error) {
    return to_text(error.diagnostics().front());
  }
  return "";
}

TEST(Compare, WhatIsNoRunIsTold) {
  const TwoRuns broken(summary("1"), "{\"case\": 1");
  EXPECT_NE(refusal(broken.paths).find("is no summary of a run"), std::string::npos);
  EXPECT_NE(refusal({broken.paths[0], "no-such-directory"}).find("holds no results"), std::string::npos);
  const TwoRuns words(summary("1"), summary("2"), "slip,torque [N m]\n0,many\n");
  EXPECT_NE(refusal(words.paths).find("slip_curve.csv:2:1: error: \"many\" is no number"), std::string::npos);
  const TwoRuns few(summary("1"), summary("2"), "slip,torque [N m]\n0\n");
  EXPECT_NE(refusal(few.paths).find("a row of 2 values was expected"), std::string::npos);
}

}  // namespace
}  // namespace polepitch
