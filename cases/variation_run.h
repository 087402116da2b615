// `polepitch sweep` and `polepitch merge`: every point of a plan into a store, then what the store says of it.
#pragma once

#include <map>
#include <optional>
#include <string>
#include <vector>

#include "cases/progress.h"
#include "cases/variation_plan.h"
#include "cases/variation_store.h"

namespace polepitch {

struct SweepRequest {
  std::string case_path;
  std::string directory;
  int jobs = 1;
  std::size_t shard = 1, shards = 1;  // points whose number is shard, shard + shards, …
  bool csv = false;
  bool retry = false;  // solve points again that failed before
};

/// One entry of a row's quantities.
struct RecordedQuantity {
  double value = 0;
  std::string unit;
  bool key_result = false;
};

/// A point of the plan and its row; none where it is not solved (another shard's).
struct SweepPoint {
  std::vector<TomlNode> values;  // in the order of the parameters
  std::string key;
  std::optional<PointRow> row;
  std::map<std::string, RecordedQuantity> quantities;  // of the row, by label ("reactances.X_l")
};

struct SweepReport {
  std::string case_name, title, store_path;
  VariationPlan plan;
  std::vector<SweepPoint> points;
  std::size_t solved = 0, former = 0, failed = 0, killed = 0;  // of this call's points
};

/// Throws the Error family and Interrupted; what is finished is in the store.
SweepReport run_sweep(const SweepRequest& request, Progress& progress);

/// One store of several; `inputs` are not changed. Throws FileError.
MergeReport merge_stores(const std::string& output, const std::vector<std::string>& inputs);

/// The value of a recorded quantity; not a number where the point has none.
double recorded_value(const SweepPoint& point, const std::string& label, std::string* unit = nullptr);

/// Labels ("reactances.X_l") of the quantities that the plan asks for, as far as any point has them.
std::vector<std::string> recorded_labels(const SweepReport& report);

std::string sweep_table(const SweepReport& report);
std::string sweep_json(const SweepReport& report);
std::string sweep_csv(const SweepReport& report);
std::string merge_json(const MergeReport& report);

/// Curves over one parameter, contours over two of a grid, main effects of several; PNG and SVG.
void draw_sweep(const SweepReport& report, const std::string& directory);

/// A script that submits the sweep to Slurm as an array of `shards` tasks and a job that merges them.
std::string slurm_script(const SweepRequest& request, std::size_t shards);

}  // namespace polepitch
