// What an optimisation found, as a table for people and as JSON.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <nlohmann/json.hpp>

#include "cases/command_line.h"
#include "cases/optimise_run.h"

namespace polepitch {
namespace {

using nlohmann::json;

struct Row {
  std::string name;
  std::vector<std::string> cells;
  std::string remark;
};

std::string with_unit(const std::string& name, const std::string& unit) {
  return unit.empty() ? name : name + " [" + unit + "]";
}

std::string cell(const std::vector<double>& values, std::size_t k, const char* form = "{:.5g}") {
  return k < values.size() && std::isfinite(values[k]) ? fmt::format(fmt::runtime(form), values[k]) : "-";
}

std::vector<Row> rows_of(const OptimiseReport& report, const std::vector<std::size_t>& shown) {
  std::vector<Row> rows;
  const OptimisePlan& plan = report.plan;
  const auto add = [&](const std::string& name, const std::string& remark, const auto& list_of, std::size_t k,
                       const char* form) {
    Row row{name, {}, remark};
    for (const std::size_t i : shown) row.cells.push_back(cell(list_of(report.designs[i]), k, form));
    rows.push_back(std::move(row));
  };
  for (std::size_t k = 0; k < plan.variables.size(); ++k) {
    const OptimiseVariable& v = plan.variables[k];
    Row row{with_unit(v.at.path, v.unit), {}, fmt::format("{} to {}", v.from, v.to)};
    if (!v.choices.empty()) row.remark = fmt::format("one of {}", v.choices.size());
    for (const std::size_t i : shown) row.cells.push_back(value_words(v, report.designs[i].values[k]));
    rows.push_back(std::move(row));
  }
  for (std::size_t k = 0; k < plan.objectives.size(); ++k)
    add(
        with_unit(report.objectives[k].label, report.objectives[k].unit), plan.objectives[k].most ? "most" : "least",
        [](const OptimisedDesign& d) { return d.objectives; }, k, "{:.5g}");
  for (std::size_t k = 0; k < plan.constraints.size(); ++k)
    add(
        with_unit(report.constraints[k].label, report.constraints[k].unit),
        fmt::format("at {} {}", plan.constraints[k].at_least ? "least" : "most", plan.constraints[k].limit),
        [](const OptimisedDesign& d) { return d.constraints; }, k, "{:.5g}");
  return rows;
}

/// One design beside the start: names downwards.
std::string beside_start(const OptimiseReport& report) {
  std::vector<Row> rows = rows_of(report, {0, report.chosen.front()});
  rows.insert(rows.begin(), Row{"", {"start", report.met ? "found" : "nearest"}, "asked"});
  std::size_t width = 0;
  for (const Row& row : rows) width = std::max(width, row.name.size());
  std::string text;
  for (const Row& row : rows)
    text += fmt::format("{:<{}}  {:>12}  {:>12}   {}\n", row.name, width, row.cells[0], row.cells[1], row.remark);
  return text;
}

/// A front: one design a line.
std::string front_lines(const OptimiseReport& report) {
  const std::vector<Row> rows = rows_of(report, report.chosen);
  std::string text = fmt::format("{:>5}", "front");
  for (const Row& row : rows) text += fmt::format("  {:>{}}", row.name, std::max<std::size_t>(10, row.name.size()));
  for (std::size_t n = 0; n < report.chosen.size(); ++n) {
    text += fmt::format("\n{:>5}", n + 1);
    for (const Row& row : rows)
      text += fmt::format("  {:>{}}", row.cells[n], std::max<std::size_t>(10, row.name.size()));
  }
  return text + "\n";
}

json value_json(const OptimiseVariable& v, double value) {
  if (v.choices.empty()) return value;
  const TomlNode& choice = v.choices[static_cast<std::size_t>(value)];
  if (const auto* integer = choice.integer()) return *integer;
  if (const auto* number = choice.floating()) return *number;
  if (const auto* flag = choice.flag()) return *flag;
  return value_words(v, value);
}

json design_json(const OptimiseReport& report, const OptimisedDesign& design) {
  json entry = {{"key", design.key}, {"solved", design.solved}, {"reason", design.reason}};
  for (std::size_t k = 0; k < design.values.size(); ++k)
    entry["variables"][report.plan.variables[k].at.path] = {
        {"value", value_json(report.plan.variables[k], design.values[k])}, {"unit", report.plan.variables[k].unit}};
  if (!design.solved) return entry;
  entry["missed"] = design.missed;
  for (std::size_t k = 0; k < design.objectives.size(); ++k)
    entry["objectives"][report.objectives[k].label] = {{"value", design.objectives[k]},
                                                       {"unit", report.objectives[k].unit}};
  for (std::size_t k = 0; k < design.constraints.size(); ++k)
    entry["constraints"][report.constraints[k].label] = {{"value", design.constraints[k]},
                                                         {"unit", report.constraints[k].unit}};
  return entry;
}

}  // namespace

std::string optimise_table(const OptimiseReport& report) {
  std::string text = report.title + "\n\n";
  text += report.chosen.size() > 1 ? front_lines(report) : beside_start(report);
  text += fmt::format("\n{} designs: {} solved now, {} were in the store, {} without result\n", report.designs.size(),
                      report.solved, report.former, report.failed);
  if (!report.arrived)
    text += "a descent ended at local_points designs: with more of them it may find a little better\n";
  for (const std::string& file : report.files) text += fmt::format("runnable case: {}\n", file);
  return text;
}

std::string optimise_json(const OptimiseReport& report) {
  json all = {{"case", report.case_name},   {"program_version", program_version()},
              {"store", report.store_path}, {"met", report.met},
              {"arrived", report.arrived},  {"solved", report.solved},
              {"former", report.former},    {"failed", report.failed},
              {"files", report.files}};
  all["found"] = json::array();
  for (const std::size_t i : report.chosen) {
    json entry = design_json(report, report.designs[i]);
    entry["number"] = i + 1;
    all["found"].push_back(std::move(entry));
  }
  all["designs"] = json::array();
  for (const OptimisedDesign& design : report.designs) all["designs"].push_back(design_json(report, design));
  return all.dump(2, ' ', false, json::error_handler_t::replace) + "\n";
}

}  // namespace polepitch
