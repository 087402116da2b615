#include "cases/optimise_run.h"

#include <fmt/format.h>

#include <algorithm>
#include <chrono>
#include <cmath>
#include <nlohmann/json.hpp>
#include <thread>

#include "cases/case.h"
#include "cases/interrupt.h"
#include "cases/search.h"
#include "cases/variation_point.h"
#include "post/atomic_file.h"

namespace polepitch {
namespace {

using nlohmann::json;

std::string parameters_json(const OptimisePlan& plan, const std::vector<double>& values) {
  json all = json::object();
  for (std::size_t i = 0; i < values.size(); ++i) {
    const TomlNode node = value_node(plan.variables[i], values[i]);
    json& entry = all[plan.variables[i].at.path];
    if (const auto* text = node.text()) entry = *text;
    if (const auto* integer = node.integer()) entry = *integer;
    if (const auto* number = node.floating()) entry = *number;
    if (const auto* flag = node.flag()) entry = *flag;
  }
  return all.dump();
}

/// The designs of a search: solved once, ever.
class Memory {
 public:
  Memory(const OptimiseRequest& request, const Case& kase, TomlNode root, OptimiseReport& report, Progress& progress)
      : request_(request),
        kase_(kase),
        root_(std::move(root)),
        report_(report),
        progress_(progress),
        store_(report.store_path) {
    const OptimisePlan& plan = report.plan;
    const double m = static_cast<double>(plan.objectives.size());
    if (plan.moved) reference_key_ = point_key(root_, request.case_path);
    most_ = 1 + m * (plan.global_points + plan.local_points) +
            (m > 1 ? std::pow(plan.front_points, m - 1) * plan.local_points : 0);
  }

  Judged judge(const std::vector<double>& x) {
    OptimisedDesign design;
    TomlNode root = root_;
    for (std::size_t i = 0; i < x.size(); ++i) {
      const OptimiseVariable& v = report_.plan.variables[i];
      design.values.push_back(value_at(v, x[i]));
      put_value(root, v.at, value_node(v, design.values.back()));
    }
    design.key = point_key(root, request_.case_path, reference_key_);
    const std::string parameters = parameters_json(report_.plan, design.values);
    const PointRow row = row_of({report_.designs.size(), design.key, parameters, std::move(root), request_.jobs});
    const Judged judged = look_up(row, design);
    report_.failed += judged.solved ? 0 : 1;
    report_.designs.push_back(std::move(design));
    progress_.update(static_cast<double>(report_.designs.size()) / most_);
    return judged;
  }

 private:
  PointRow row_of(const PointTask& task) {
    for (;;) {
      throw_if_interrupted();
      if (const auto row = store_.find(task.key)) {
        ++report_.former;
        return *row;
      }
      if (store_.claim(task.key)) break;
      std::this_thread::sleep_for(std::chrono::milliseconds(300));  // another process is at it
    }
    if (const auto row = store_.find(task.key)) {  // it came to its end meanwhile
      store_.give_back(task.key);
      ++report_.former;
      return *row;
    }
    PointRow solved;
    bool given = false;
    const auto next = [&]() -> std::unique_ptr<PointTask> {
      if (std::exchange(given, true)) return nullptr;
      auto one = std::make_unique<PointTask>(task);
      one->reference = reference();
      return one;
    };
    if (solve_in_processes(1, request_.case_path, kase_.text, next, [&](const PointRow& row) { solved = row; }) > 0)
      throw Error(ExitCode::some_points_failed, "the worker was killed before its design was solved",
                  "run the same command again: it goes on from here; with fewer --jobs when memory is short");
    store_.put(solved);
    ++report_.solved;
    return solved;
  }

  /// Solved when the first design needs it.
  VariationReference* reference() {
    if (report_.plan.moved && !std::exchange(asked_, true)) {
      progress_.start("adapting the mesh");
      reference_ = variation_reference(root_, request_.case_path, kase_.text);
      progress_.start("optimise");
    }
    return reference_.get();
  }

  Judged look_up(const PointRow& row, OptimisedDesign& design) {
    const json all = json::parse(row.quantities);
    design.reason = row.reason;
    const OptimisePlan& plan = report_.plan;
    if (row.exit_code != 0 && all.empty()) return {};
    if (report_.objectives.empty()) name_quantities(all);
    Judged judged;
    const auto value = [&](const SoughtQuantity& sought) {
      if (all.contains(sought.label)) return all[sought.label].at("value").get<double>();
      if (design.reason.empty()) design.reason = "it has no " + sought.label;
      return std::nan("");
    };
    for (std::size_t i = 0; i < plan.objectives.size(); ++i) {
      design.objectives.push_back(value(report_.objectives[i]));
      judged.objectives.push_back(plan.objectives[i].most ? -design.objectives[i] : design.objectives[i]);
    }
    for (std::size_t i = 0; i < plan.constraints.size(); ++i) {
      const OptimiseConstraint& limit = plan.constraints[i];
      design.constraints.push_back(value(report_.constraints[i]));
      const double over = (design.constraints[i] - limit.limit) / (limit.limit == 0 ? 1 : std::abs(limit.limit));
      judged.constraints.push_back(limit.at_least ? -over : over);
    }
    const auto finite = [](const std::vector<double>& list) {
      return std::all_of(list.begin(), list.end(), [](double v) { return std::isfinite(v); });
    };
    design.solved = finite(judged.objectives) && finite(judged.constraints);
    for (const double over : judged.constraints) design.missed = std::max(design.missed, over);
    if (!design.solved) return {};
    judged.solved = true;
    return judged;
  }

  /// Which label each name of the plan means, from the first design that has results.
  void name_quantities(const json& all) {
    Diagnostics faults;
    const auto name = [&](const std::string& wanted, const Place& place, std::vector<SoughtQuantity>& list) {
      std::vector<std::string> labels;
      for (const auto& [label, entry] : all.items())
        if (label == wanted || (is_asked(wanted, label) && label.find('#') == std::string::npos))
          labels.push_back(label);
      if (labels.size() == 1) return list.push_back({labels[0], all[labels[0]].at("unit")});
      std::string given;
      for (const auto& label : labels) given += (given.empty() ? "" : ", ") + label;
      if (labels.empty())
        faults.push_back({place, fmt::format("no study of this case gives {}", wanted),
                          "`polepitch run` shows what they give; `polepitch list studies` names others"});
      else
        faults.push_back({place, wanted + " is given more than once", "write one of: " + given});
    };
    for (const auto& objective : report_.plan.objectives) name(objective.quantity, objective.place, report_.objectives);
    for (const auto& limit : report_.plan.constraints) name(limit.quantity, limit.place, report_.constraints);
    if (!faults.empty()) throw InputError(std::move(faults));
  }

  const OptimiseRequest& request_;
  const Case& kase_;
  TomlNode root_;
  OptimiseReport& report_;
  Progress& progress_;
  VariationStore store_;
  std::string reference_key_;
  bool asked_ = false;
  std::unique_ptr<VariationReference> reference_;
  double most_ = 1;
};

SearchOptions options_of(const OptimisePlan& plan) {
  SearchOptions options;
  for (const OptimiseVariable& v : plan.variables) options.start.push_back(share_of(v, v.start));
  options.global_points = plan.global_points;
  options.local_points = plan.local_points;
  options.front_points = plan.front_points;
  options.tolerance = plan.tolerance;
  return options;
}

std::string opening_of(const OptimiseReport& report, std::size_t i) {
  const OptimisedDesign& design = report.designs[i];
  std::string text = fmt::format("Found by `polepitch optimise` from {}.toml:", report.case_name);
  for (std::size_t k = 0; k < design.objectives.size(); ++k)
    text += fmt::format("{} {} = {:.6g}{}{}", k == 0 ? "" : ",", report.objectives[k].label, design.objectives[k],
                        report.objectives[k].unit.empty() ? "" : " ", report.objectives[k].unit);
  return text + (report.met ? "." : ". It does not meet every constraint.");
}

void write_chosen(OptimiseReport& report, const Case& kase) {
  for (std::size_t n = 0; n < report.chosen.size(); ++n) {
    std::vector<TomlNode> values;
    for (std::size_t k = 0; k < report.plan.variables.size(); ++k)
      values.push_back(value_node(report.plan.variables[k], report.designs[report.chosen[n]].values[k]));
    const bool front = report.plan.objectives.size() > 1;
    const std::string name = !report.met ? "nearest" : front ? fmt::format("front-{}", n + 1) : "optimised";
    report.files.push_back(fmt::format("{}/{}.toml", report.directory, name));
    write_file(report.files.back(),
               case_with_values(kase.text, kase.path, report.directory, values, opening_of(report, report.chosen[n])));
  }
}

}  // namespace

OptimiseReport run_optimise(const OptimiseRequest& request, Progress& progress) {
  progress.start("reading");
  const Case kase = read_case(request.case_path);
  const TomlNode root = parse_toml(kase.text, request.case_path);
  OptimiseReport report;
  report.case_name = kase.name;
  report.title = kase.title;
  report.directory = request.directory;
  report.store_path = request.directory + "/optimise.sqlite";
  Diagnostics faults;
  report.plan = read_optimise_plan(root, faults);
  if (!report.plan.present)
    throw InputError("the case has no table [optimise]", "docs/optimise.md shows one", {request.case_path, 1, 1});
  make_directory(request.directory);
  Memory memory(request, kase, root, report, progress);
  progress.start("optimise");

  const auto& variables = report.plan.variables;
  SearchProblem problem{variables.size(),
                        report.plan.objectives.size(),
                        report.plan.constraints.size(),
                        [&](const std::vector<double>& x) { return memory.judge(x); },
                        [&](std::vector<double> x) {
                          for (std::size_t i = 0; i < x.size(); ++i)
                            x[i] = share_of(variables[i], value_at(variables[i], x[i]));
                          return x;
                        },
                        {}};
  for (const OptimiseVariable& v : variables) problem.choices.push_back(!v.choices.empty());
  Search search(std::move(problem), options_of(report.plan));
  if (variables.empty()) throw std::logic_error("a plan without variables was not refused");
  if (report.plan.objectives.size() > 1) report.chosen = search.front();
  if (report.chosen.empty()) {
    const std::optional<std::size_t> best = search.least(0);
    if (best) report.chosen = {*best};
  }
  if (report.chosen.empty())
    throw Error(ExitCode::some_points_failed,
                fmt::format("none of {} designs could be solved; the first: {}", report.designs.size(),
                            report.designs.front().reason),
                "`polepitch check` shows what is wrong with the case's own values; narrow the bounds");
  report.met = search.meets(report.chosen.front());
  report.arrived = search.arrived();
  write_chosen(report, kase);
  return report;
}

}  // namespace polepitch
