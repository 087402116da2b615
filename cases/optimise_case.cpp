// A case file with other values in it: the user's own text, comments and all.
#include <fmt/format.h>

#include <algorithm>
#include <filesystem>
#include <stdexcept>

#include "cases/optimise_run.h"

namespace polepitch {
namespace {

namespace fs = std::filesystem;

struct Replacement {
  std::size_t begin = 0, end = 0;  // bytes
  std::string text;
};

/// The byte at which a place stands; columns count characters of UTF-8.
std::size_t offset_of(const std::string& text, const Place& place) {
  std::size_t at = 0;
  for (int line = 1; line < place.line; ++line) at = text.find('\n', at) + 1;
  for (int column = 1; column < place.column; ++column) {
    ++at;
    while (at < text.size() && (static_cast<unsigned char>(text[at]) & 0xC0) == 0x80) ++at;
  }
  return at;
}

/// Behind the value that begins at `at`: a text in quotes or a number.
std::size_t end_of_value(const std::string& text, std::size_t at) {
  const char quote = text[at];
  if (quote != '"' && quote != '\'') return std::min(text.size(), text.find_first_of(" \t\r\n,]}#", at));
  for (std::size_t i = at + 1; i < text.size(); ++i) {
    if (text[i] == quote) return i + 1;
    if (text[i] == '\\' && quote == '"') ++i;
  }
  return text.size();
}

std::string quoted(const std::string& words) {
  std::string text = "\"";
  for (const char c : words) text += c == '"' || c == '\\' ? std::string{'\\', c} : std::string(1, c);
  return text + "\"";
}

std::string written(const TomlNode& value) {
  if (value.text() != nullptr) return quoted(*value.text());
  if (value.integer() != nullptr) return fmt::format("{}", *value.integer());
  if (value.flag() != nullptr) return *value.flag() ? "true" : "false";
  // A whole number of a quantity is a TOML integer, which every reader of numbers takes.
  return fmt::format("{}", *value.floating());
}

void add(std::vector<Replacement>& all, const std::string& text, const Place& place, const TomlNode& value) {
  const std::size_t begin = offset_of(text, place);
  if (begin >= text.size()) throw std::logic_error("a value of the case file is not where it was read");
  all.push_back({begin, end_of_value(text, begin), written(value)});
}

/// Every place at which the file names another one: its own materials, drawings of sides and slots.
std::vector<TomlNode> named_files(const TomlNode& root) {
  std::vector<TomlNode> files;
  if (const TomlNode* list = find(root, "material_files"); list != nullptr && list->array() != nullptr)
    files = *list->array();
  const auto add_drawing = [&](const TomlNode* table) {
    const TomlNode* file = table == nullptr ? nullptr : find(*table, "file");
    if (file != nullptr && file->text() != nullptr) files.push_back(*file);
  };
  for (const char* side : {"stator", "rotor"})
    if (const TomlNode* table = find(root, side)) add_drawing(table), add_drawing(find(*table, "slot"));
  return files;
}

/// Those files, seen from another directory.
std::vector<TomlNode> moved_files(const TomlNode& root, const std::string& case_path, const std::string& directory) {
  std::vector<TomlNode> moved;
  for (TomlNode file : named_files(root)) {
    const fs::path from = fs::absolute(fs::path(case_path).parent_path() / *file.text()).lexically_normal();
    file.data = from.lexically_relative(fs::absolute(directory).lexically_normal()).generic_string();
    moved.push_back(std::move(file));
  }
  return moved;
}

}  // namespace

std::string case_with_values(const std::string& text, const std::string& case_path, const std::string& directory,
                             const std::vector<TomlNode>& values, const std::string& opening) {
  std::vector<Replacement> replacements;
  for (const TomlNode& value : values) add(replacements, text, value.place, value);
  for (const TomlNode& file : moved_files(parse_toml(text, case_path), case_path, directory))
    add(replacements, text, file.place, file);
  std::sort(replacements.begin(), replacements.end(),
            [](const Replacement& a, const Replacement& b) { return a.begin > b.begin; });
  std::string result = text;
  for (const Replacement& r : replacements) result.replace(r.begin, r.end - r.begin, r.text);
  return "# " + opening + "\n" + result;
}

}  // namespace polepitch
