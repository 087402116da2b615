#include "cases/json_text.h"

#include <nlohmann/json.hpp>
#include <numbers>

namespace polepitch {
namespace {

using Json = nlohmann::ordered_json;

/// Paths and values of a user's file need not be UTF-8.
std::string dump(const Json& json) {
  return json.dump(2, ' ', false, Json::error_handler_t::replace) + "\n";
}

Json optional_number(const std::optional<double>& value) {
  return value ? Json(*value) : Json();
}

Json quantity_json(const Quantity& q) {
  Json at = Json::object();
  for (const auto& [name, value] : q.at) at[name] = value;
  return {{"study", q.study},
          {"name", q.name},
          {"at", at},
          {"positions", q.positions},
          {"ripple", optional_number(q.ripple)},
          {"method", q.method},
          {"value", q.value},
          {"unit", q.unit},
          {"error", optional_number(q.error)},
          {"definition", q.definition}};
}

Json flux_json(const std::string& study, const FluxDensityRow& row) {
  return {{"study", study},
          {"part", row.part},
          {"largest", row.largest},
          {"at_third", row.at_third},
          {"percentile99", row.percentile99},
          {"limit", optional_number(row.limit)},
          {"exceeds", row.limit && row.largest > *row.limit},
          {"where", row.worst_name},
          {"rotor_angle_deg", row.worst_angle * 180 / std::numbers::pi},
          {"unit", "T"},
          {"error", optional_number(row.error)}};
}

}  // namespace

std::string list_json(const std::vector<ListEntry>& entries) {
  Json list = Json::array();
  for (const ListEntry& entry : entries) {
    Json item = {{"name", entry.name}, {"sentence", entry.sentence}};
    if (entry.has_unit) item["unit"] = entry.unit;
    list.push_back(std::move(item));
  }
  return dump(list);
}

std::string error_json(int code, const std::vector<Diagnostic>& diagnostics) {
  Json list = Json::array();
  for (const Diagnostic& d : diagnostics) {
    Json item;
    item["file"] = d.place.file.empty() ? Json() : Json(d.place.file);
    item["line"] = d.place.line > 0 ? Json(d.place.line) : Json();
    item["column"] = d.place.line > 0 ? Json(d.place.column) : Json();
    item["message"] = d.message;
    item["hint"] = d.hint;
    list.push_back(std::move(item));
  }
  return dump(Json{{"error", {{"code", code}, {"diagnostics", list}}}});
}

std::string summary_json(const std::string& case_name, const Results& results) {
  Json quantities = Json::array(), flux = Json::array();
  for (const Quantity& q : results.quantities) quantities.push_back(quantity_json(q));
  for (const FluxDensityTable& table : results.flux_tables)
    for (const FluxDensityRow& row : table.rows) flux.push_back(flux_json(table.study, row));
  return dump({{"case", case_name},
               {"program_version", POLEPITCH_VERSION},
               {"quantities", quantities},
               {"flux_density", flux},
               {"warnings", results.warnings}});
}

}  // namespace polepitch
