#include "tests/cases/ready_case_helper.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <filesystem>
#include <sstream>

#include "tests/verification_helper.h"

namespace polepitch {
namespace {

const std::string kMachines = std::string(SOURCE_DIR) + "/cases/machines";

/// The text without the [[study]] tables of these types.
std::string without_studies(const std::string& text, const std::vector<std::string>& types) {
  std::istringstream lines(text);
  std::string line, block, kept;
  const auto keep = [&] {
    const bool out = block.rfind("[[study]]", 0) == 0 && std::any_of(types.begin(), types.end(), [&](const auto& t) {
                       return block.find("type = \"" + t + "\"") != std::string::npos;
                     });
    if (!out) kept += block;
    block.clear();
  };
  while (std::getline(lines, line)) {
    if (line.rfind("[[study]]", 0) == 0) keep();
    block += line + "\n";
  }
  keep();
  return kept;
}

bool holds(const std::string& directory, const std::string& ending) {
  for (const auto& file : std::filesystem::recursive_directory_iterator(directory)) {
    const std::string name = file.path().filename().string();
    if (name.size() >= ending.size() && name.compare(name.size() - ending.size(), ending.size(), ending) == 0 &&
        std::filesystem::file_size(file) > 0)
      return true;
  }
  return false;
}

}  // namespace

std::vector<std::string> ready_cases() {
  std::vector<std::string> names;
  for (const auto& file : std::filesystem::directory_iterator(kMachines))
    if (file.path().extension() == ".toml") names.push_back(file.path().stem().string());
  std::sort(names.begin(), names.end());
  return names;
}

ReadyCase::ReadyCase(const std::string& name, const std::vector<std::string>& left_out) {
  RunRequest request;
  request.case_path = directory_ / (name + ".toml");
  request.directory = directory_ / "out";
  write_text(request.case_path, without_studies(read_text_file(kMachines + "/" + name + ".toml"), left_out));
  for (const auto& file : std::filesystem::directory_iterator(kMachines))
    if (file.path().extension() == ".dxf")
      std::filesystem::copy(file.path(), std::filesystem::path(directory_.path()) / file.path().filename());
  Progress progress(false);
  report_ = run_case(request, progress);
}

double ReadyCase::value(const std::string& study, const std::string& quantity) const {
  for (const Quantity& q : report_.results.quantities)
    if (q.study == study && q.name == quantity) return q.value;
  ADD_FAILURE() << "no quantity " << quantity << " of " << study;
  return 0;
}

std::vector<double> ReadyCase::column(const std::string& study, const std::string& curve,
                                      const std::string& name) const {
  for (const ResultCurve& c : report_.results.curves)
    if (c.study == study && c.name == curve)
      for (const Column& column : c.columns)
        if (column.name == name) return column.values;
  ADD_FAILURE() << "no column " << name << " in the curve " << curve << " of " << study;
  return {0};
}

void ReadyCase::expect_whole() const {
  EXPECT_TRUE(report_.failed.empty()) << report_.failed.front().message;
  EXPECT_FALSE(report_.results.quantities.empty());
  for (const Quantity& q : report_.results.quantities) {
    EXPECT_TRUE(std::isfinite(q.value)) << q.study << " " << q.name;
    EXPECT_TRUE(std::isfinite(q.ripple.value_or(0)) && std::isfinite(q.error.value_or(0))) << q.study << " " << q.name;
  }
  for (const ResultCurve& curve : report_.results.curves)
    for (const Column& column : curve.columns)
      EXPECT_TRUE(std::all_of(column.values.begin(), column.values.end(), [](double v) { return std::isfinite(v); }))
          << curve.study << " " << curve.name << " " << column.name;
  for (const std::string ending : {"summary.json", "section.png", "mesh.svg", ".csv"})
    EXPECT_TRUE(holds(report_.directory, ending)) << "no file " << ending;
  const auto& quantities = report_.results.quantities;
  if (std::none_of(quantities.begin(), quantities.end(), [](const auto& q) { return q.study == "operating-point"; }))
    return;
  for (const std::string ending : {"operating-point_field.png", "operating-point_gap_field.png", ".vtu", ".pvd"})
    EXPECT_TRUE(holds(report_.directory, ending)) << "no file " << ending;
}

namespace {

std::string operating_point(const Quantity& q) {
  std::string text;
  for (const auto& [name, value] : q.at) text += (text.empty() ? "" : ", ") + name + " = " + value;
  return text;
}

/// The quantity at that operating point; where a search names the point (an angle of its own on every mesh), the first.
const Quantity* find(const std::vector<Quantity>& all, const std::string& study, const std::string& name,
                     const std::string& at) {
  const Quantity* first = nullptr;
  for (const Quantity& q : all) {
    if (q.study != study || q.name != name) continue;
    if (operating_point(q) == at) return &q;
    if (first == nullptr) first = &q;
  }
  return first;
}

/// "        stator tooth         1.693  …": 1 where the run has such a part.
int expect_part(const Results& results, const std::string& study, const std::string& line, const std::string& page) {
  for (const FluxDensityTable& table : results.flux_tables)
    for (const FluxDensityRow& row : table.rows) {
      if (table.study != study || line.rfind("        " + row.part + " ", 0) != 0) continue;
      const double shown = std::stod(line.substr(8 + row.part.size()));
      constexpr double kRounding = 0.5e-3;  // T: three decimals are shown
      EXPECT_NEAR(row.largest, shown, std::max(0.01 * shown, row.error.value_or(0)) + kRounding)
          << "docs/" << page << ": " << study << " " << row.part;
      return 1;
    }
  return 0;
}

}  // namespace

void ReadyCase::expect_page(const std::string& name, int least) const {
  std::istringstream page(read_text_file(std::string(SOURCE_DIR) + "/docs/" + name));
  const std::string flux = "flux density, ";
  std::string line, study, at;
  int compared = 0;
  while (std::getline(page, line)) {
    if (line.rfind("    ", 0) != 0 || line.size() < 5) continue;
    if (line[4] != ' ') study = line.substr(4);
    if (line.rfind("      at ", 0) == 0) at = line.substr(9);
    if (line.rfind("        ", 0) != 0) continue;
    if (study.rfind(flux, 0) == 0) {
      compared += expect_part(report_.results, study.substr(flux.size()), line, name);
      continue;
    }
    std::istringstream words(line);
    std::string quantity;
    double shown = 0;
    if (!(words >> quantity >> shown)) continue;
    const Quantity* q = find(report_.results.quantities, study, quantity, at);
    if (q == nullptr) continue;
    // One percent: the page shows a run of some time ago; small numbers around zero come from the mesh.
    const double tolerance = std::max({0.01 * std::abs(shown), q->error.value_or(0), 0.05 * q->ripple.value_or(0)});
    EXPECT_NEAR(q->value, shown, tolerance) << "docs/" << name << ": " << study << " " << quantity;
    ++compared;
  }
  EXPECT_GE(compared, least) << "docs/" << name << " shows no table";
}

void expect_by_hand(double found, double expected, double low, double high, const std::string& source) {
  const std::string name = ::testing::UnitTest::GetInstance()->current_test_info()->name();
  test::record_band(name + ": " + source, found, expected, low, high, "formula in the test", test::kByHand);
}

}  // namespace polepitch
