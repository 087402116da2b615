#include "post/summary_file.h"

#include <cmath>
#include <nlohmann/json.hpp>
#include <stdexcept>

#include "post/atomic_file.h"

namespace polepitch {
namespace {

using Json = nlohmann::ordered_json;

// JSON has no NaN: the library would write null, which means "none" here.
double finite(double value, const std::string& what) {
  if (!std::isfinite(value)) throw std::logic_error("summary: " + what + " is not a finite number");
  return value;
}

Json optional(const std::optional<double>& value, const std::string& what) {
  return value ? Json(finite(*value, what)) : Json(nullptr);
}

Json quantity_json(const Quantity& q) {
  const std::string what = q.study + "/" + q.name;
  Json at = Json::object();
  for (const auto& [key, value] : q.at) at[key] = value;
  return {{"study", q.study},
          {"name", q.name},
          {"at", std::move(at)},
          {"positions", q.positions},
          {"ripple", q.positions > 1 ? optional(q.ripple, what + " ripple") : Json(nullptr)},
          {"method", q.method},
          {"value", finite(q.value, what)},
          {"unit", q.unit},
          {"error", optional(q.error, what + " error")},
          {"definition", q.definition}};
}

Json row_json(const FluxDensityRow& row) {
  const double degrees = 180 / 3.14159265358979323846;
  return {{"part", row.part},
          {"unit", "T"},
          {"largest", finite(row.largest, row.part)},
          {"at_third", row.at_third > 0 ? Json(finite(row.at_third, row.part)) : Json(nullptr)},
          {"percentile99", finite(row.percentile99, row.part)},
          {"limit", optional(row.limit, row.part)},
          {"exceeds", row.limit ? Json(row.largest > *row.limit) : Json(nullptr)},
          {"worst", row.worst_name},
          {"worst_rotor_angle_deg", finite(row.worst_angle * degrees, row.part)},
          {"error", optional(row.error, row.part)}};
}

Json curve_json(const ResultCurve& curve) {
  Json columns = Json::array();
  for (const Column& column : curve.columns)
    columns.push_back({{"name", column.name},
                       {"unit", column.unit},
                       {"drawn", column.drawn},
                       {"error", optional(column.error, curve.study + "/" + curve.name + " " + column.name)}});
  return {{"study", curve.study},
          {"name", curve.name},
          {"title", curve.title},
          {"spectrum", curve.spectrum},
          {"columns", std::move(columns)}};
}

const char* kind_name(ConstructionLine::Kind kind) {
  switch (kind) {
    case ConstructionLine::Kind::curve:
      return "curve";
    case ConstructionLine::Kind::straight:
      return "straight";
    case ConstructionLine::Kind::help:
      return "help";
    case ConstructionLine::Kind::arrow:
      return "phasor";
  }
  return "";
}

Json construction_json(const Construction& c) {
  const std::string what = c.study + "/" + c.name;
  Json points = Json::array(), lines = Json::array();
  for (const ConstructionPoint& p : c.points)
    points.push_back({{"name", p.name}, {"x", finite(p.x, what)}, {"y", finite(p.y, what)}, {"meaning", p.meaning}});
  for (const ConstructionLine& line : c.lines) {
    for (double value : line.x) finite(value, what);
    for (double value : line.y) finite(value, what);
    lines.push_back({{"name", line.name}, {"kind", kind_name(line.kind)}, {"x", line.x}, {"y", line.y}});
  }
  return {{"study", c.study},
          {"name", c.name},
          {"title", c.title},
          {"source", c.source},
          {"x", {{"name", c.x_name}, {"unit", c.x_unit}}},
          {"y", {{"name", c.y_name}, {"unit", c.y_unit}}},
          {"points", std::move(points)},
          {"lines", std::move(lines)}};
}

Json phasors_json(const PhasorDiagram& diagram) {
  const double degrees = 180 / 3.14159265358979323846;
  Json arrows = Json::array();
  for (const PhasorArrow& arrow : diagram.arrows) {
    const std::string what = diagram.study + "/phasor " + arrow.name;
    arrows.push_back({{"name", arrow.name},
                      {"unit", arrow.unit},
                      {"real", finite(arrow.value.real(), what)},
                      {"imaginary", finite(arrow.value.imag(), what)},
                      {"from", {finite(arrow.from.real(), what), finite(arrow.from.imag(), what)}},
                      {"meaning", arrow.meaning}});
  }
  Json json{{"study", diagram.study},
            {"name", diagram.name},
            {"convention", diagram.convention},
            {"arrows", std::move(arrows)}};
  if (diagram.q_axis) json["q_axis_deg"] = finite(*diagram.q_axis * degrees, diagram.study + "/q-axis");
  return json;
}

}  // namespace

std::string summary_text(const std::string& case_name, const std::string& program_version, const Results& results) {
  Json quantities = Json::array(), tables = Json::array(), curves = Json::array(), constructions = Json::array();
  for (const Quantity& q : results.quantities) quantities.push_back(quantity_json(q));
  for (const FluxDensityTable& table : results.flux_tables) {
    Json rows = Json::array();
    for (const FluxDensityRow& row : table.rows) rows.push_back(row_json(row));
    tables.push_back({{"study", table.study}, {"rows", std::move(rows)}});
  }
  for (const ResultCurve& curve : results.curves) curves.push_back(curve_json(curve));
  for (const Construction& c : results.constructions) constructions.push_back(construction_json(c));
  Json phasors = Json::array();
  for (const PhasorDiagram& diagram : results.phasor_diagrams) phasors.push_back(phasors_json(diagram));
  Json key_results = Json::array();  // places in "quantities"
  for (size_t i = 0; i < results.quantities.size(); ++i)
    if (results.quantities[i].key_result) key_results.push_back(i);
  const Json all{{"case", case_name},
                 {"program_version", program_version},
                 {"quantities", std::move(quantities)},
                 {"key_results", std::move(key_results)},
                 {"flux_density", std::move(tables)},
                 {"curves", std::move(curves)},
                 {"constructions", std::move(constructions)},
                 {"phasors", std::move(phasors)},
                 {"warnings", results.warnings}};
  // Names come from case files: bytes that are not UTF-8 are replaced rather than losing the run's results.
  return all.dump(2, ' ', false, Json::error_handler_t::replace) + "\n";
}

void write_summary(const std::string& case_name, const std::string& program_version, const Results& results,
                   const std::filesystem::path& path) {
  write_file(path.string(), summary_text(case_name, program_version, results));
}

}  // namespace polepitch
