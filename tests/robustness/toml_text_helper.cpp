#include "tests/robustness/toml_text_helper.h"

#include <fmt/format.h>

namespace polepitch {
namespace {

bool holds_tables(const TomlNode& node) {
  return node.array() != nullptr && !node.array()->empty() && node.array()->front().table() != nullptr;
}

std::string value_text(const TomlNode& node) {
  if (const auto* text = node.text()) return "\"" + *text + "\"";
  if (const auto* integer = node.integer()) return fmt::format("{}", *integer);
  if (const auto* number = node.floating()) return fmt::format("{:#}", *number);
  if (const auto* flag = node.flag()) return *flag ? "true" : "false";
  std::string text = "[";
  for (const TomlNode& item : *node.array()) text += (text.size() > 1 ? ", " : "") + value_text(item);
  return text + "]";
}

}  // namespace

std::string table_text(const TomlNode& table, const std::string& path) {
  std::string text;
  for (const TomlEntry& e : *table.table())
    if (e.value.table() == nullptr && !holds_tables(e.value)) text += e.key + " = " + value_text(e.value) + "\n";
  for (const TomlEntry& e : *table.table())
    if (e.value.table() != nullptr) {
      const std::string below = path.empty() ? e.key : path + "." + e.key;
      text += "\n[" + below + "]\n" + table_text(e.value, below);
    }
  for (const TomlEntry& e : *table.table())
    if (holds_tables(e.value)) {
      const std::string below = path.empty() ? e.key : path + "." + e.key;
      for (const TomlNode& item : *e.value.array()) text += "\n[[" + below + "]]\n" + table_text(item, below);
    }
  return text;
}

}  // namespace polepitch
