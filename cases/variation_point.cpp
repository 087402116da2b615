#include "cases/variation_point.h"

#include <fmt/format.h>

#include <chrono>
#include <cmath>
#include <nlohmann/json.hpp>

#include "cases/adaption.h"
#include "cases/case.h"
#include "cases/describe.h"
#include "cases/run_studies.h"
#include "geometry/section.h"
#include "post/quantity_list.h"

namespace polepitch {
namespace {

using nlohmann::json;

/// "torque-angle.torque_max"; a name that a study gives at several points is numbered from the second on.
void add_quantities(const std::vector<Quantity>& quantities, json& all) {
  for (const Quantity& q : quantities) {
    if (!std::isfinite(q.value)) continue;
    const std::string name = q.study + "." + q.name;
    std::string label = name;
    for (int i = 2; all.contains(label); ++i) label = fmt::format("{}#{}", name, i);
    json entry = {{"value", q.value}, {"unit", q.unit}, {"error", nullptr}, {"key", q.key_result}};
    if (q.error && std::isfinite(*q.error)) entry["error"] = *q.error;
    for (const auto& [axis, value] : q.at) entry["at"][axis] = value;
    all[label] = std::move(entry);
  }
}

std::string told(const std::vector<Diagnostic>& diagnostics) {
  std::string text;
  for (const Diagnostic& d : diagnostics)
    text += (text.empty() ? "" : "; ") + d.message + (d.hint.empty() ? "" : " (" + d.hint + ")");
  return text;
}

json solve(const PointTask& task, const std::string& case_path, const std::string& text, PointRow& row) {
  Case kase = read_case(task.root, case_path, text);
  const Section section = draw_section(kase.machine);
  check_studies(kase, section);
  json all = json::object();
  if (kase.studies.empty()) {
    add_quantities(describe_machine(kase, section, first_mesh(kase, section)).quantities, all);
    return all;
  }
  Results adaption;
  std::optional<CaseMeshes> moved;
  if (task.reference != nullptr) moved = task.reference->meshes(kase, section, adaption);
  const CaseMeshes meshes = moved ? std::move(*moved) : adapted_meshes(kase, section, adaption);
  add_quantities(describe_machine(kase, section, meshes.mesh).quantities, all);
  add_quantities(adaption.quantities, all);
  if (task.reference != nullptr) {
    Quantity q = quantity("mesh_moved", moved ? 1 : 0, "mesh");
    q.study = "mesh";
    add_quantities({q}, all);
  }
  kase.compared = moved.has_value();
  Progress silent(false);
  const SolvedStudies solved = solve_on_both_meshes(kase, section, meshes, task.threads, silent);
  for (const StudyResult& study : solved.studies) add_quantities(study.results.quantities, all);
  if (!solved.failed.empty()) {
    row.exit_code = static_cast<int>(ExitCode::some_points_failed);
    row.reason = told(solved.failed);
  }
  return all;
}

}  // namespace

PointRow solve_point(const PointTask& task, const std::string& case_path, const std::string& text) {
  const auto begin = std::chrono::steady_clock::now();
  PointRow row{task.key, 0, "", task.parameters, "{}", 0};
  try {
    row.quantities = solve(task, case_path, text, row).dump();
  } catch (const Error& error) {
    row.exit_code = static_cast<int>(error.code());
    row.reason = told(error.diagnostics());
  } catch (const std::bad_alloc&) {
    row.exit_code = static_cast<int>(ExitCode::internal);
    row.reason = "out of memory";
  } catch (const std::exception& error) {
    row.exit_code = static_cast<int>(ExitCode::internal);
    row.reason = fmt::format("fault of the program: {}", error.what());
  }
  row.seconds = std::chrono::duration<double>(std::chrono::steady_clock::now() - begin).count();
  return row;
}

}  // namespace polepitch
