// What a sweep gave, as a table for people, as JSON and as CSV.
#include <fmt/format.h>

#include <algorithm>
#include <limits>
#include <nlohmann/json.hpp>

#include "cases/command_line.h"
#include "cases/optimise_plan.h"
#include "cases/variation_run.h"

namespace polepitch {
namespace {

using nlohmann::json;

std::string value_text(const TomlNode& value) {
  return value.text() != nullptr       ? *value.text()
         : value.floating() != nullptr ? fmt::format("{:.6g}", *value.floating())
                                       : shown(value);
}

std::string csv_field(const std::string& text) {
  if (text.find_first_of(",\"\r\n") == std::string::npos) return text;
  std::string quoted = "\"";
  for (const char c : text) quoted += c == '"' ? "\"\"" : std::string(1, c);
  return quoted + "\"";
}

std::string csv_header(const std::string& name, const std::string& unit) {
  return csv_field(unit.empty() ? name : name + " [" + unit + "]");
}

}  // namespace

double recorded_value(const SweepPoint& point, const std::string& label, std::string* unit) {
  const auto it = point.quantities.find(label);
  if (it == point.quantities.end()) return std::numeric_limits<double>::quiet_NaN();
  if (unit != nullptr) *unit = it->second.unit;
  return it->second.value;
}

std::vector<std::string> recorded_labels(const SweepReport& report) {
  std::vector<std::string> labels;
  const auto add = [&](const std::string& label) {
    if (std::find(labels.begin(), labels.end(), label) == labels.end()) labels.push_back(label);
  };
  std::map<std::string, bool> all;  // of any point; whether a key result
  for (const SweepPoint& point : report.points)
    for (const auto& [label, quantity] : point.quantities) all[label] = all[label] || quantity.key_result;
  const std::vector<std::string>& wanted = report.plan.quantities;
  for (const std::string& name : wanted)
    for (const auto& [label, key_result] : all)
      if (is_asked(name, label)) add(label);
  for (const auto& [label, key_result] : all)
    if (wanted.empty() && key_result) add(label);
  return labels;
}

std::string sweep_table(const SweepReport& report) {
  constexpr std::size_t kMostRows = 40, kMostColumns = 6;
  std::string text = report.title + "\n\n";
  std::vector<std::string> labels = recorded_labels(report);
  const std::size_t hidden = labels.size() > kMostColumns ? labels.size() - kMostColumns : 0;
  labels.resize(labels.size() - hidden);
  text += fmt::format("{:>5}", "point");
  std::vector<std::size_t> widths;
  for (const SweptParameter& p : report.plan.parameters) {
    widths.push_back(std::max<std::size_t>(12, p.at.path.size()));
    text += fmt::format("  {:>{}}", p.at.path, widths.back());
  }
  for (const std::string& label : labels) {
    std::string unit;
    for (const SweepPoint& point : report.points) recorded_value(point, label, &unit);
    const std::string head = unit.empty() ? label : label + " " + unit;
    widths.push_back(std::max<std::size_t>(10, head.size()));
    text += fmt::format("  {:>{}}", head, widths.back());
  }
  text += "\n";
  for (std::size_t i = 0; i < std::min(kMostRows, report.points.size()); ++i) {
    const SweepPoint& point = report.points[i];
    text += fmt::format("{:>5}", i + 1);
    std::size_t column = 0;
    for (const TomlNode& value : point.values) text += fmt::format("  {:>{}}", value_text(value), widths[column++]);
    for (const std::string& label : labels) {
      const double value = recorded_value(point, label);
      text += fmt::format("  {:>{}}", value == value ? fmt::format("{:.5g}", value) : "-", widths[column++]);
    }
    text += point.row && point.row->exit_code != 0 ? "  failed\n" : "\n";
  }
  if (report.points.size() > kMostRows)
    text += fmt::format("  and {} more; --csv writes all\n", report.points.size() - kMostRows);
  if (hidden > 0) text += fmt::format("{} more quantities are in the store; [sweep] quantities chooses\n", hidden);
  return text + fmt::format("\n{} points: {} solved now, {} were in the store, {} failed\n", report.points.size(),
                            report.solved, report.former, report.failed);
}

std::string sweep_json(const SweepReport& report) {
  json all = {{"case", report.case_name},   {"program_version", program_version()},
              {"store", report.store_path}, {"solved", report.solved},
              {"former", report.former},    {"failed", report.failed}};
  all["points"] = json::array();
  for (std::size_t i = 0; i < report.points.size(); ++i) {
    const SweepPoint& point = report.points[i];
    json entry = {{"number", i + 1}, {"key", point.key}, {"solved", point.row.has_value()}};
    for (std::size_t k = 0; k < point.values.size(); ++k)
      entry["parameters"][report.plan.parameters[k].at.path] = value_text(point.values[k]);
    if (point.row) {
      entry["exit_code"] = point.row->exit_code;
      entry["reason"] = point.row->reason;
      entry["seconds"] = point.row->seconds;
      entry["quantities"] = json::parse(point.row->quantities);
    }
    all["points"].push_back(std::move(entry));
  }
  return all.dump(2, ' ', false, json::error_handler_t::replace) + "\n";
}

std::string sweep_csv(const SweepReport& report) {
  const std::vector<std::string> labels = recorded_labels(report);
  std::string text = "point";
  for (const SweptParameter& p : report.plan.parameters) text += "," + csv_header(p.at.path, p.unit);
  for (const std::string& label : labels) {
    std::string unit;
    for (const SweepPoint& point : report.points) recorded_value(point, label, &unit);
    text += "," + csv_header(label, unit);
  }
  text += ",exit_code,reason,seconds\n";
  for (std::size_t i = 0; i < report.points.size(); ++i) {
    const SweepPoint& point = report.points[i];
    text += fmt::format("{}", i + 1);
    for (std::size_t k = 0; k < point.values.size(); ++k) {
      const double number = value_number(report.plan.parameters[k], point.values[k]);
      text += "," + (number == number ? fmt::format("{}", number) : csv_field(value_text(point.values[k])));
    }
    for (const std::string& label : labels) {
      const double value = recorded_value(point, label);
      text += value == value ? fmt::format(",{}", value) : ",";
    }
    text += point.row
                ? fmt::format(",{},{},{:.3f}\n", point.row->exit_code, csv_field(point.row->reason), point.row->seconds)
                : ",,,\n";
  }
  return text;
}

std::string merge_json(const MergeReport& report) {
  const json all = {{"points", report.rows},         {"failed", report.failed},   {"duplicates", report.duplicates},
                    {"differing", report.differing}, {"missing", report.missing}, {"gaps", report.gaps}};
  return all.dump(2) + "\n";
}

}  // namespace polepitch
