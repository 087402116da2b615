// A run's directory back into results.
#include <fmt/format.h>

#include <charconv>
#include <cmath>
#include <filesystem>
#include <fstream>
#include <limits>
#include <nlohmann/json.hpp>
#include <set>
#include <sstream>

#include "cases/compare.h"
#include "geometry/error.h"
#include "post/csv_file.h"

namespace polepitch {
namespace {

namespace fs = std::filesystem;
using Json = nlohmann::ordered_json;

std::string text_of(const fs::path& path) {
  std::ifstream file(path, std::ios::binary);
  if (!file) throw FileError("cannot read " + path.string());
  std::ostringstream text;
  text << file.rdbuf();
  return text.str();
}

std::optional<double> optional_number(const Json& json, const char* name) {
  if (!json.contains(name) || json.at(name).is_null()) return std::nullopt;
  return json.at(name).get<double>();
}

Quantity quantity_of(const Json& json) {
  Quantity q;
  q.study = json.at("study"), q.name = json.at("name"), q.unit = json.at("unit"), q.value = json.at("value");
  q.definition = json.value("definition", "");
  q.error = optional_number(json, "error");
  for (const auto& [name, value] : json.at("at").items()) q.at.emplace_back(name, value.get<std::string>());
  return q;
}

FluxDensityTable flux_table_of(const Json& json) {
  FluxDensityTable table{json.at("study"), {}};
  for (const Json& row : json.at("rows")) {
    FluxDensityRow part;
    part.part = row.at("part"), part.largest = row.at("largest");
    part.error = optional_number(row, "error");
    table.rows.push_back(std::move(part));
  }
  return table;
}

/// One field of a row of numbers; not a number where it is empty.
double number_of(std::string_view field, const fs::path& path, size_t line) {
  if (field.empty()) return std::numeric_limits<double>::quiet_NaN();
  double value = 0;
  const auto [end, fault] = std::from_chars(field.data(), field.data() + field.size(), value);
  if (fault != std::errc{} || end != field.data() + field.size())
    throw InputError(fmt::format("\"{}\" is no number", field), "", {path.string(), static_cast<int>(line), 1});
  return value;
}

void read_values(ResultCurve& curve, const fs::path& path) {
  std::istringstream lines(text_of(path));
  std::string line;
  std::getline(lines, line);  // the head, which the summary tells too
  for (size_t number = 2; std::getline(lines, line); ++number) {
    size_t begin = 0;
    for (size_t c = 0; c < curve.columns.size(); ++c) {
      const size_t end = line.find(',', begin);
      if (begin > line.size() || (end == std::string::npos) != (c + 1 == curve.columns.size()))
        throw InputError(fmt::format("a row of {} values was expected", curve.columns.size()), "",
                         {path.string(), static_cast<int>(number), 1});
      curve.columns[c].values.push_back(
          number_of(std::string_view(line).substr(begin, end == std::string::npos ? end : end - begin), path, number));
      begin = end == std::string::npos ? line.size() + 1 : end + 1;
    }
  }
}

ResultCurve curve_of(const Json& json, const fs::path& directory) {
  ResultCurve curve{json.at("study"), json.at("name"), json.at("title"), {}, json.value("spectrum", false)};
  for (const Json& c : json.at("columns")) {
    Column column{c.at("name"), c.at("unit"), {}, c.value("drawn", true)};
    column.error = optional_number(c, "error");
    curve.columns.push_back(std::move(column));
  }
  if (const fs::path path = directory / csv_file_name(curve); fs::exists(path)) read_values(curve, path);
  return curve;
}

Construction construction_of(const Json& json) {
  Construction c;
  c.study = json.at("study"), c.name = json.at("name"), c.title = json.at("title"), c.source = json.value("source", "");
  c.x_name = json.at("x").at("name"), c.x_unit = json.at("x").at("unit");
  c.y_name = json.at("y").at("name"), c.y_unit = json.at("y").at("unit");
  for (const Json& l : json.at("lines")) {
    ConstructionLine line{l.at("name"), l.at("x"), l.at("y")};
    if (l.at("kind") != "curve") line.kind = ConstructionLine::Kind::help;
    c.lines.push_back(std::move(line));
  }
  return c;
}

PhasorDiagram phasors_of(const Json& json) {
  PhasorDiagram diagram;
  diagram.study = json.at("study"), diagram.name = json.value("name", diagram.name);
  for (const Json& a : json.at("arrows"))
    diagram.arrows.push_back({a.at("name"),
                              a.at("unit"),
                              {a.at("from").at(0).get<double>(), a.at("from").at(1).get<double>()},
                              {a.at("real").get<double>(), a.at("imaginary").get<double>()},
                              a.value("meaning", "")});
  return diagram;
}

void read_summary(const fs::path& path, const std::string& directory, RunRecord& run) {
  try {
    const Json json = Json::parse(text_of(path));
    run.case_name = json.at("case"), run.program_version = json.at("program_version");
    for (const Json& q : json.at("quantities")) run.results.quantities.push_back(quantity_of(q));
    if (!json.contains("key_results"))  // of a program before this list: all of them
      for (Quantity& q : run.results.quantities) q.key_result = true;
    else
      for (const Json& place : json.at("key_results")) {
        if (!place.is_number_unsigned() || place.get<size_t>() >= run.results.quantities.size())
          throw InputError(fmt::format("{}: {} in key_results is no place of a quantity", path.string(), place.dump()));
        run.results.quantities[place.get<size_t>()].key_result = true;
      }
    for (const Json& t : json.at("flux_density")) run.results.flux_tables.push_back(flux_table_of(t));
    for (const Json& c : json.at("curves")) run.results.curves.push_back(curve_of(c, directory));
    for (const Json& c : json.value("constructions", Json::array()))
      run.results.constructions.push_back(construction_of(c));
    for (const Json& p : json.value("phasors", Json::array())) run.results.phasor_diagrams.push_back(phasors_of(p));
    for (const Json& w : json.at("warnings")) run.results.warnings.push_back(w);
  } catch (const Json::exception& fault) {
    throw InputError(fmt::format("{} is no summary of a run: {}", path.string(), fault.what()),
                     "run the case again: polepitch run CASE -o " + directory);
  }
  std::erase_if(run.results.curves,
                [](const ResultCurve& c) { return c.columns.empty() || c.columns[0].values.empty(); });
}

RunRecord read_run(const std::string& directory) {
  const fs::path path = fs::path(directory) / "summary.json", store = fs::path(directory) / "sweep.sqlite";
  RunRecord run;
  run.directory = directory;
  if (!fs::exists(path) && !fs::exists(store))
    throw FileError(fmt::format("{} holds no results: there is neither summary.json nor sweep.sqlite in it", directory),
                    "name directories that polepitch run or polepitch sweep has written");
  if (fs::exists(path)) read_summary(path, directory, run);
  if (fs::exists(store)) add_sweep(store.string(), run);
  return run;
}

}  // namespace

std::vector<RunRecord> read_runs(const std::vector<std::string>& directories) {
  std::vector<RunRecord> runs;
  for (const std::string& directory : directories) runs.push_back(read_run(directory));
  std::set<std::string> names;
  bool alike = false;
  for (RunRecord& run : runs) {
    const fs::path path = fs::absolute(run.directory).lexically_normal();
    run.label = (path.has_filename() ? path : path.parent_path()).filename().string();
    alike = !names.insert(run.label).second || alike;
  }
  for (size_t r = 0; alike && r < runs.size(); ++r) runs[r].label = fmt::format("{}: {}", r + 1, runs[r].directory);
  return runs;
}

}  // namespace polepitch
