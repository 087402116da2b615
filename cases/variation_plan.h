// The table [sweep] of a case: which parameters take which values, and every point that follows from it.
#pragma once

#include <string>
#include <vector>

#include "cases/block_reader.h"

namespace polepitch {

/// The key `mesh` of [sweep] and [optimise].
const Parameter& mesh_reuse_parameter();

/// Keys of [sweep] and of each [[sweep.parameter]].
const std::vector<Parameter>& sweep_parameters();
const std::vector<Parameter>& swept_parameter_parameters();

/// A key of the case file that something varies: found by its dotted path, "stator.slot.opening_width" or
/// "study.torque-angle.phase_current".
struct CasePath {
  std::string path;
  Parameter declared;
  std::vector<std::string> tables;  // "stator", "slot"; "study" and the study's number (from 0)
};

/// Nothing where the path leads nowhere; the fault is told at `node`.
std::optional<CasePath> find_case_path(const TomlNode& root, const TomlNode& node, Diagnostics& faults);

/// The tree with the value in place of what stood there.
void put_value(TomlNode& root, const CasePath& path, const TomlNode& value);

struct SweptParameter {
  CasePath at;
  std::string unit;              // of the values as they are told: "mm"; "" for numbers and texts
  std::vector<TomlNode> values;  // listed, or from … to; empty where a hypercube draws between the two ends
  double from = 0, to = 0;       // the ends, in `unit`
  bool is_number() const { return at.declared.form == Form::quantity || at.declared.form == Form::integer; }
};

struct VariationPlan {
  bool present = false;
  std::string method;  // "grid", "list", "latin-hypercube"
  std::vector<SweptParameter> parameters;
  std::vector<std::string> quantities;  // empty: the key results
  std::size_t points = 0;
  int seed = 1;
  bool moved = false;  // points take the meshes of the file's own machine (cases/variation_reference.h)
};

/// Not `present` where the file has no [sweep].
VariationPlan read_variation_plan(const TomlNode& root, Diagnostics& faults);

/// The values of a point in the order of the parameters; number from 0. The first parameter runs slowest in a grid. A
/// hypercube's points follow from its seed alone, on every machine.
std::vector<std::vector<TomlNode>> plan_points(const VariationPlan& plan);

/// A number with its unit as it would stand in the file.
TomlNode value_node(const Parameter& declared, double number, const std::string& unit, const Place& place);

/// The number of a value in `unit`; not a number for texts and flags.
double value_number(const SweptParameter& parameter, const TomlNode& value);

/// The name of an entry of [[study]]: "torque-angle", "torque-angle-2".
std::vector<std::string> study_names(const TomlNode& root);

/// 32 hexadecimal digits that follow from everything a point's results depend on: the tables of the case (not [sweep],
/// [optimise], [output] and the title), the content of its own material files and the program's version; `reference`:
/// the key of the case whose meshes it takes, where it does.
std::string point_key(const TomlNode& root, const std::string& case_path, const std::string& reference = {});

}  // namespace polepitch
