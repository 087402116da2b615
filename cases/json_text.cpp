#include "cases/json_text.h"

#include <nlohmann/json.hpp>

namespace polepitch {
namespace {

using Json = nlohmann::ordered_json;

/// Paths and values of a user's file need not be UTF-8.
std::string dump(const Json& json) {
  return json.dump(2, ' ', false, Json::error_handler_t::replace) + "\n";
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

std::string animation_json(const AnimateReport& report) {
  return dump({{"study", report.study}, {"output", report.output}, {"frames", report.frames}, {"axis", report.axis}});
}

std::string error_json(int code, const std::vector<Diagnostic>& diagnostics) {
  Json list = Json::array();
  for (const Diagnostic& d : diagnostics) {
    Json item;
    item["file"] = d.place.file.empty() ? Json() : Json(d.place.file);
    item["line"] = d.place.line > 0 ? Json(d.place.line) : Json();
    item["column"] = d.place.line > 0 && d.place.column > 0 ? Json(d.place.column) : Json();
    item["message"] = d.message;
    item["hint"] = d.hint;
    list.push_back(std::move(item));
  }
  return dump(Json{{"error", {{"code", code}, {"diagnostics", list}}}});
}

}  // namespace polepitch
