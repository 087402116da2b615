#include "cases/block_reader.h"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>

namespace polepitch {
namespace {

void check_keys(const Block& block, const TomlNode& node, const std::vector<Parameter>& parameters,
                const std::vector<std::string>& other_keys, Diagnostics& faults) {
  std::vector<std::string> names = other_keys;
  for (const Parameter& parameter : parameters) names.push_back(parameter.name);
  // "study 1" is no header of the file, other paths are.
  const bool header = block.path.find(' ') == std::string::npos;
  const std::string where = block.path.empty() ? "at the top of the file"
                            : header           ? "in [" + block.path + "]"
                                               : "in " + block.path;
  for (const TomlEntry& entry : *node.table()) {
    if (std::find(names.begin(), names.end(), entry.key) != names.end()) continue;
    const std::string what = entry.value.table() != nullptr ? "table" : "key";
    faults.push_back(
        {entry.key_place, fmt::format("unknown {} \"{}\" {}", what, entry.key, where), suggestion(entry.key, names)});
  }
}

void report_missing(const Parameter& parameter, const std::string& path, const Place& place, Diagnostics& faults) {
  const std::string range = allowed_values(parameter);
  faults.push_back({place, path + " is missing", parameter.sentence + (range.empty() ? "" : " Allowed: " + range)});
}

}  // namespace

std::string suggestion(const std::string& name, const std::vector<std::string>& names) {
  const std::string nearest = nearest_name(name, names);
  if (!nearest.empty()) return fmt::format("did you mean \"{}\"?", nearest);
  return names.empty() ? "" : fmt::format("known here: {}", fmt::join(names, ", "));
}

Block read_block(const std::string& path, const TomlNode* node, const std::vector<Parameter>& parameters,
                 const std::vector<std::string>& other_keys, Diagnostics& faults) {
  Block block;
  block.path = path;
  if (node != nullptr && node->table() == nullptr) {
    faults.push_back({node->place, fmt::format("\"{}\" is {}, a table is needed", path, describe(*node)),
                      fmt::format("write [{}] on a line of its own, its keys below", path)});
    node = nullptr;
  }
  block.present = node != nullptr;
  if (node != nullptr) {
    block.place = node->place;
    check_keys(block, *node, parameters, other_keys, faults);
  }
  for (const Parameter& parameter : parameters) {
    const std::string name = path.empty() ? parameter.name : path + "." + parameter.name;
    const TomlNode* entry = node == nullptr ? nullptr : find(*node, parameter.name);
    if (entry != nullptr) {
      if (std::optional<Value> value = read_value(parameter, name, *entry, faults))
        block.values.set(parameter.name, std::move(*value));
    } else if (!parameter.fallback.empty()) {
      block.values.set(parameter.name, default_value(parameter, name, block.place));
    } else if (!parameter.optional && node != nullptr) {
      report_missing(parameter, name, block.place, faults);
    }
  }
  return block;
}

}  // namespace polepitch
