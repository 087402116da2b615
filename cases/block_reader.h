// From a table of the case file and its declared parameters to checked values in SI. Faults are collected, not thrown.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "cases/toml_tree.h"
#include "geometry/parameter.h"

namespace polepitch {

using Diagnostics = std::vector<Diagnostic>;

/// "1 mm to 5 mm", "at least 1", "star, delta"; "" when anything goes.
std::string allowed_values(const Parameter& parameter);

/// One value of a file. `path` names it in messages ("stator.slot.opening_width"). No value when it is at fault.
std::optional<Value> read_value(const Parameter& parameter, const std::string& path, const TomlNode& node,
                                Diagnostics& faults);

/// The declared default as a value; throws std::logic_error when the declaration itself is wrong.
Value default_value(const Parameter& parameter, const std::string& path, const Place& place);

/// A whole table: values, defaults, faults of unknown keys and of missing parameters. `node` is null for a table that
/// is not in the file: then only defaults are taken and nothing is missed. `other_keys` are keys of the table that
/// somebody else reads ("slot", "type").
Block read_block(const std::string& path, const TomlNode* node, const std::vector<Parameter>& parameters,
                 const std::vector<std::string>& other_keys, Diagnostics& faults);

/// `did you mean "opening_width"?`, or the whole list when nothing is near.
std::string suggestion(const std::string& name, const std::vector<std::string>& names);

}  // namespace polepitch
