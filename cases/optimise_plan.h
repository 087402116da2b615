// The table [optimise] of a case: what may vary between which bounds, what is to be made least or most, and what has to
// be kept.
#pragma once

#include <string>
#include <vector>

#include "cases/variation_plan.h"

namespace polepitch {

/// Keys of [optimise] and of its lists.
const std::vector<Parameter>& optimise_parameters();
const std::vector<Parameter>& optimise_variable_parameters();
const std::vector<Parameter>& optimise_objective_parameters();
const std::vector<Parameter>& optimise_constraint_parameters();

/// A number of the case that varies between two bounds, or a key that takes one of listed values: its value is then the
/// place in the list, from 0.
struct OptimiseVariable {
  CasePath at;
  std::string unit;         // in which bounds and values are told: "mm"; "" for numbers
  double from = 0, to = 0;  // in `unit`
  double start = 0;         // the value of the file, taken into the bounds
  int digits = 0;           // decimals that a value has: steps of 1e-4 of the range or finer
  Place place;              // of the value in the file
  std::vector<TomlNode> choices = {};
};

struct OptimiseObjective {
  std::string quantity;  // "torque_max", or with its study
  bool most = false;
  Place place;
};

/// `quantity` ≥ `limit` or ≤ it.
struct OptimiseConstraint {
  std::string quantity;
  bool at_least = false;
  double limit = 0;  // in the quantity's unit
  Place place;
};

struct OptimisePlan {
  bool present = false;
  std::vector<OptimiseVariable> variables;
  std::vector<OptimiseObjective> objectives;
  std::vector<OptimiseConstraint> constraints;
  int global_points = 0, local_points = 0, front_points = 0;
  double tolerance = 0;
  bool moved = false;  // designs take the meshes of the file's own machine (cases/variation_reference.h)
};

/// Not `present` where the file has no [optimise].
OptimisePlan read_optimise_plan(const TomlNode& root, Diagnostics& faults);

/// The value that stands for `share` (0 … 1) of a variable's range, in its unit, as it is told: rounded to its
/// decimals.
double value_at(const OptimiseVariable& variable, double share);
double share_of(const OptimiseVariable& variable, double value);
/// The value as it stands in a case file.
TomlNode value_node(const OptimiseVariable& variable, double value);
/// The value for people, without its unit: "3.46", "demo-magnet".
std::string value_words(const OptimiseVariable& variable, double value);

/// Whether a label of a store ("reactances.X_l", "slip.torque_mean#2") is what a case asks for: "X_l", or with its
/// study.
bool is_asked(const std::string& wanted, const std::string& label);

}  // namespace polepitch
