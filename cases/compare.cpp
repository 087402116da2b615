#include "cases/compare.h"

#include <fmt/format.h>

#include <algorithm>
#include <filesystem>
#include <fstream>
#include <nlohmann/json.hpp>
#include <sstream>

#include "cases/command_line.h"
#include "post/atomic_file.h"
#include "post/comparison_page.h"
#include "post/text_chart.h"

namespace polepitch {
namespace {

namespace fs = std::filesystem;
using Json = nlohmann::ordered_json;

constexpr size_t kName = 26, kUnit = 6, kValue = 24;  // characters; a name that is longer pushes its row

std::string cell_text(const std::optional<ComparedValue>& v) {
  if (!v) return "-";
  return fmt::format("{:.5g}", v->value) + (v->error ? " " + error_text(*v->error) : "");
}

/// "+3.42 % *" when clear, "(+0.02 %)" within errors, "+0.1 % ?" where no error is stated.
std::string difference_cell(const std::optional<ComparedValue>& v) {
  if (!v || !v->difference) return "";
  const std::string text = difference_text(*v->difference);
  switch (v->difference->verdict) {
    case Difference::Verdict::clear:
      return text + " *";
    case Difference::Verdict::within:
      return "(" + text + ")";
    case Difference::Verdict::unknown:
      break;
  }
  return text + " ?";
}

/// The sign of error takes two bytes and one place.
std::string padded(const std::string& text, size_t width) {
  const auto places = static_cast<size_t>(
      std::count_if(text.begin(), text.end(), [](char c) { return (static_cast<unsigned char>(c) & 0xc0) != 0x80; }));
  return text + std::string(width > places ? width - places : 1, ' ');
}

std::string row_text(const ComparedRow& row) {
  std::string line = "    " + padded(row.name, kName) + padded(row.unit, kUnit);
  for (size_t r = 0; r < row.values.size(); ++r) {
    line += padded(cell_text(row.values[r]), kValue);
    if (r > 0) line += padded(difference_cell(row.values[r]), 14);
  }
  return line.substr(0, line.find_last_not_of(' ') + 1) + "\n";
}

std::string rows_text(const std::vector<ComparedRow>& rows) {
  std::string text, study, at;
  for (const ComparedRow& row : rows) {
    if (!row.key_result) continue;
    if (row.study != study) text += fmt::format("\n{}\n", row.study), at.clear();
    if (row.at != at && !row.at.empty())
      text += fmt::format("  at {}{}\n", row.at, row.same_point ? "" : "; other points in other runs");
    study = row.study, at = row.at;
    text += row_text(row);
  }
  return text;
}

Json rows_json(const std::vector<ComparedRow>& rows) {
  Json list = Json::array();
  for (const ComparedRow& row : rows) {
    Json values = Json::array();
    for (const std::optional<ComparedValue>& v : row.values) {
      if (!v) {
        values.push_back(nullptr);
        continue;
      }
      Json value{{"value", v->value}, {"error", v->error ? Json(*v->error) : Json()}};
      if (v->difference) {
        value["difference"] = v->difference->absolute;
        value["relative"] = v->difference->relative ? Json(*v->difference->relative) : Json();
        value["verdict"] = verdict_words(v->difference->verdict);
      }
      values.push_back(std::move(value));
    }
    list.push_back({{"study", row.study},
                    {"name", row.name},
                    {"at", row.at},
                    {"same_point", row.same_point},
                    {"unit", row.unit},
                    {"key_result", row.key_result},
                    {"values", std::move(values)}});
  }
  return list;
}

std::string bytes_of(const fs::path& path) {
  std::ifstream file(path, std::ios::binary);
  std::ostringstream bytes;
  bytes << file.rdbuf();
  return bytes.str();
}

/// The picture of every run that has it; `field`: as PNG.
PictureRow picture_row(const std::vector<RunRecord>& runs, const std::string& name, const std::string& title,
                       bool field) {
  PictureRow row{title, {}};
  for (size_t r = 0; r < runs.size(); ++r) {
    const fs::path path = fs::path(runs[r].directory) / (name + (field ? ".png" : ".svg"));
    if (!fs::exists(path)) continue;
    const std::string words = runs[r].label + ": " + title;
    row.pictures.push_back({runs[r].label, field
                                               ? inline_png(bytes_of(path), words)
                                               : inline_svg(bytes_of(path), fmt::format("run{}-{}", r, name), words)});
  }
  return row;
}

}  // namespace

std::string comparison_table(const std::vector<RunRecord>& runs, const Comparison& comparison, bool charts) {
  std::string text = "    " + padded("", kName + kUnit);
  for (size_t r = 0; r < runs.size(); ++r) text += padded(runs[r].label, kValue) + (r > 0 ? padded("", 14) : "");
  text = text.substr(0, text.find_last_not_of(' ') + 1) + "\n" + rows_text(comparison.rows);
  if (!comparison.flux_density.empty())
    text += "\nflux density, largest of each part\n" + rows_text(comparison.flux_density);
  for (const ComparedCurve& c : comparison.curves) {
    if (!charts || !c.rising || c.curve.spectrum) continue;
    text += fmt::format("\n{}: {}\n", c.curve.study, c.curve.title);
    text += text_chart(c.curve);
  }
  text +=
      "\n* clear: more than twice the root of the sum of both errors' squares; ( ) within errors; ? no error stated\n";
  for (const RunRecord& run : runs)
    for (const std::string& warning : run.results.warnings)
      text += fmt::format("warning: {}: {}\n", run.label, warning);
  return text;
}

std::string comparison_json(const std::vector<RunRecord>& runs, const Comparison& comparison) {
  Json list = Json::array();
  for (const RunRecord& run : runs)
    list.push_back({{"label", run.label},
                    {"directory", run.directory},
                    {"case", run.case_name},
                    {"program_version", run.program_version},
                    {"warnings", run.results.warnings}});
  const Json all{{"runs", std::move(list)},
                 {"quantities", rows_json(comparison.rows)},
                 {"flux_density", rows_json(comparison.flux_density)}};
  return all.dump(2, ' ', false, Json::error_handler_t::replace) + "\n";
}

void write_comparison_page(const std::vector<RunRecord>& runs, const Comparison& comparison, const std::string& path) {
  std::vector<PictureRow> pictures = {picture_row(runs, "section", "Section and winding", false)};
  for (const char* side : {"stator", "rotor"})
    pictures.push_back(
        picture_row(runs, fmt::format("{}_dimensions", side), fmt::format("Dimensions of the {}", side), false));
  std::vector<std::string> studies;
  for (const ComparedRow& row : comparison.rows)
    if (std::find(studies.begin(), studies.end(), row.study) == studies.end()) studies.push_back(row.study);
  for (const std::string& study : studies) {
    pictures.push_back(picture_row(runs, study + "_field", study + ": flux density and flux lines", true));
    for (const Construction& c : runs.front().results.constructions)
      if (c.study == study) pictures.push_back(picture_row(runs, study + "_" + c.name, study + ": " + c.title, false));
    for (const PhasorDiagram& d : runs.front().results.phasor_diagrams)
      if (d.study == study) pictures.push_back(picture_row(runs, study + "_" + d.name, study + ": phasors", false));
  }
  std::erase_if(pictures, [](const PictureRow& row) { return row.pictures.size() < 2; });
  write_file(path, comparison_page(runs, comparison, pictures, program_version()));
}

}  // namespace polepitch
