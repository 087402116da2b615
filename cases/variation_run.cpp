#include "cases/variation_run.h"

#include <fmt/format.h>

#include <chrono>
#include <filesystem>
#include <memory>
#include <nlohmann/json.hpp>
#include <thread>

#include "cases/case.h"
#include "cases/interrupt.h"
#include "cases/variation_point.h"
#include "post/atomic_file.h"

namespace polepitch {
namespace {

std::string store_path(const SweepRequest& request) {
  const std::string name =
      request.shards == 1 ? "sweep.sqlite" : fmt::format("sweep-{}-of-{}.sqlite", request.shard, request.shards);
  return request.directory + "/" + name;
}

std::string parameters_json(const VariationPlan& plan, const std::vector<TomlNode>& values) {
  nlohmann::json all = nlohmann::json::object();
  for (std::size_t i = 0; i < values.size(); ++i) {
    nlohmann::json& entry = all[plan.parameters[i].at.path];
    if (const auto* text = values[i].text()) entry = *text;
    if (const auto* integer = values[i].integer()) entry = *integer;
    if (const auto* number = values[i].floating()) entry = *number;
    if (const auto* flag = values[i].flag()) entry = *flag;
  }
  return all.dump();
}

TomlNode varied(TomlNode root, const VariationPlan& plan, const std::vector<TomlNode>& values) {
  for (std::size_t i = 0; i < values.size(); ++i) put_value(root, plan.parameters[i].at, values[i]);
  return root;
}

std::map<std::string, RecordedQuantity> quantities_of(const PointRow& row) {
  std::map<std::string, RecordedQuantity> all;
  const nlohmann::json parsed = nlohmann::json::parse(row.quantities);
  for (const auto& [label, entry] : parsed.items()) all[label] = {entry.at("value"), entry.at("unit"), entry.at("key")};
  return all;
}

/// The points of this call that wait; those that another process has taken go to the end of the line.
struct Queue {
  const SweepRequest& request;
  const TomlNode& root;
  SweepReport& report;
  VariationStore& store;
  Progress& progress;
  VariationReference* reference = nullptr;
  std::vector<std::size_t> waiting{}, elsewhere{};
  std::size_t mine = 0, next = 0;

  bool is_done(const PointRow& row) const { return row.exit_code == 0 || !request.retry; }

  void fill() {
    for (std::size_t i = request.shard - 1; i < report.points.size(); i += request.shards) {
      ++mine;
      const std::optional<PointRow> row = store.find(report.points[i].key);
      if (row && is_done(*row))
        ++report.former;
      else
        waiting.push_back(i);
    }
  }

  std::unique_ptr<PointTask> take() {
    while (next < waiting.size()) {
      const std::size_t i = waiting[next++];
      const SweepPoint& point = report.points[i];
      if (!store.claim(point.key)) {
        elsewhere.push_back(i);
        continue;
      }
      if (const auto row = store.find(point.key); row && is_done(*row)) {  // finished by another process meanwhile
        store.give_back(point.key);
        ++report.former;
        continue;
      }
      return std::make_unique<PointTask>(PointTask{i, point.key, parameters_json(report.plan, point.values),
                                                   varied(root, report.plan, point.values), 1, reference});
    }
    return nullptr;
  }

  void put(const PointRow& row) {
    store.put(row);
    ++report.solved;
    progress.update(static_cast<double>(report.solved + report.former) / static_cast<double>(mine));
  }
};

}  // namespace

SweepReport run_sweep(const SweepRequest& request, Progress& progress) {
  progress.start("reading");
  const Case kase = read_case(request.case_path);
  const TomlNode root = parse_toml(kase.text, request.case_path);
  SweepReport report;
  report.case_name = kase.name;
  report.title = kase.title;
  Diagnostics faults;
  report.plan = read_variation_plan(root, faults);
  if (!report.plan.present)
    throw InputError("the case has no table [sweep]", "docs/sweeps.md shows one", {request.case_path, 1, 1});
  const std::string reference_key = report.plan.moved ? point_key(root, request.case_path) : "";
  StoredPlan stored;
  for (std::vector<TomlNode>& values : plan_points(report.plan)) {
    SweepPoint point{values, point_key(varied(root, report.plan, values), request.case_path, reference_key), {}};
    stored.keys.push_back(point.key);
    report.points.push_back(std::move(point));
  }
  stored.case_name = kase.name;
  stored.quantities = report.plan.quantities;
  stored.id = point_key(root, request.case_path) + fmt::format("-{}-", report.points.size());
  for (const std::size_t i : {std::size_t{0}, report.points.size() / 2, report.points.size() - 1})
    stored.id += stored.keys[i].substr(0, 8);

  make_directory(request.directory);
  report.store_path = store_path(request);
  VariationStore store(report.store_path, request.shards > 1);
  store.remember(stored);
  Queue queue{request, root, report, store, progress};
  queue.fill();
  std::unique_ptr<VariationReference> reference;
  if (report.plan.moved && !queue.waiting.empty()) {
    progress.start("adapting the mesh");
    reference = variation_reference(root, request.case_path, kase.text);
  }
  queue.reference = reference.get();
  progress.start("sweep");
  for (;;) {
    report.killed += solve_in_processes(
        request.jobs, request.case_path, kase.text, [&] { return queue.take(); },
        [&](const PointRow& row) { queue.put(row); });
    if (queue.elsewhere.empty()) break;
    throw_if_interrupted();
    std::this_thread::sleep_for(std::chrono::milliseconds(300));
    queue.waiting = std::exchange(queue.elsewhere, {});
    queue.next = 0;
  }
  for (std::size_t i = 0; i < report.points.size(); ++i) {
    report.points[i].row = store.find(report.points[i].key);
    if (const auto& row = report.points[i].row) report.points[i].quantities = quantities_of(*row);
    const bool mine = i % request.shards == request.shard - 1;
    report.failed += mine && report.points[i].row && report.points[i].row->exit_code != 0 ? 1 : 0;
  }
  return report;
}

MergeReport merge_stores(const std::string& output, const std::vector<std::string>& inputs) {
  for (const std::string& input : inputs)
    if (std::error_code status; std::filesystem::equivalent(input, output, status))
      throw FileError(input + " is the output itself", "name another file for the merged store");
  VariationStore store(output);
  MergeReport report;
  for (const std::string& input : inputs) store.add_store(input, report);
  for (const StoredPlan& plan : store.plans()) {
    for (std::size_t i = 0; i < plan.keys.size(); ++i) {
      const std::optional<PointRow> row = store.find(plan.keys[i]);
      report.rows += row ? 1 : 0;
      report.failed += row && row->exit_code != 0 ? 1 : 0;
      if (row) continue;
      ++report.missing[plan.case_name];
      if (report.gaps.size() < 20) report.gaps.push_back(i + 1);
    }
  }
  return report;
}

std::string slurm_script(const SweepRequest& request, std::size_t shards) {
  namespace fs = std::filesystem;
  const auto quoted = [](const std::string& path) {
    std::string text = "'";
    for (const char c : fs::absolute(path).lexically_normal().string()) text += c == '\'' ? "'\\''" : std::string(1, c);
    return text + "'";
  };
  std::error_code status;
  const std::string program = fs::read_symlink("/proc/self/exe", status).string();
  return fmt::format(R"(#!/bin/sh
# Submits a sweep to Slurm: {0} tasks, each with its own store, then a job that merges and draws them. A task that is
# killed and queued again goes on where it stopped. Add partition, time and memory of your cluster to both lines.
set -eu
program=${{POLEPITCH:-{1}}}
case={2}
directory={3}
mkdir -p "$directory"
array=$(sbatch --parsable --job-name=polepitch-sweep --array=1-{0} --requeue --open-mode=append \
  --ntasks=1 --cpus-per-task={4} --output="$directory/task-%a.log" \
  --wrap="'$program' sweep '$case' -o '$directory' --shard \$SLURM_ARRAY_TASK_ID/{0} --jobs {4} --quiet")
# Points that failed end a task with code 6: merging waits for every task, and tells what is missing.
sbatch --parsable --job-name=polepitch-merge --dependency=afterany:"${{array%%;*}}" --output="$directory/merge.log" \
  --wrap="'$program' merge '$directory/sweep.sqlite' '$directory'/sweep-*-of-{0}.sqlite && '$program' sweep '$case' -o '$directory' --csv"
)",
                     shards, quoted(program), quoted(request.case_path), quoted(request.directory), request.jobs);
}

}  // namespace polepitch
