#include "cases/toml_tree.h"

#include <fmt/format.h>
#include <toml++/toml.h>

#include <algorithm>
#include <cerrno>
#include <cstring>
#include <filesystem>
#include <fstream>
#include <iterator>

namespace polepitch {
namespace {

Place place_of(const toml::source_region& source, const std::string& file) {
  return {file, static_cast<int>(source.begin.line), static_cast<int>(source.begin.column)};
}

TomlNode convert(const toml::node& node, const std::string& file);

TomlNode::Table convert_table(const toml::table& table, const std::string& file) {
  TomlNode::Table result;
  for (const auto& [key, value] : table)
    result.push_back({std::string(key.str()), place_of(key.source(), file), convert(value, file)});
  std::stable_sort(result.begin(), result.end(), [](const TomlEntry& a, const TomlEntry& b) {
    return std::pair(a.key_place.line, a.key_place.column) < std::pair(b.key_place.line, b.key_place.column);
  });
  return result;
}

TomlNode convert(const toml::node& node, const std::string& file) {
  TomlNode result;
  result.place = place_of(node.source(), file);
  if (const auto* table = node.as_table()) {
    result.data = convert_table(*table, file);
  } else if (const auto* array = node.as_array()) {
    TomlNode::Array items;
    for (const toml::node& item : *array) items.push_back(convert(item, file));
    result.data = std::move(items);
  } else if (const auto* text = node.as_string()) {
    result.data = text->get();
  } else if (const auto* integer = node.as_integer()) {
    result.data = integer->get();
  } else if (const auto* floating = node.as_floating_point()) {
    result.data = floating->get();
  } else if (const auto* flag = node.as_boolean()) {
    result.data = flag->get();
  } else {
    result.data = TomlNode::Date{};
  }
  return result;
}

/// toml++ says "Error while parsing array: encountered end-of-file": shorter, and in one voice with our own messages.
std::string reworded(std::string text) {
  const std::string prefix = "Error while parsing ";
  if (text.rfind(prefix, 0) != 0) return "syntax: " + text;
  text.erase(0, prefix.size());
  const auto colon = text.find(": ");
  if (colon == std::string::npos) return "syntax: " + text;
  return fmt::format("syntax: {} (in the {})", text.substr(colon + 2), text.substr(0, colon));
}

std::string hint_for(const std::string& description) {
  const auto says = [&](const char* words) { return description.find(words) != std::string::npos; };
  if (says("redefine")) return "each key and each table stands once; put the values together";
  if (says("utf-8")) return "save the file as UTF-8";
  if (says("comment or whitespace")) return "a value with a unit stands in quotes: length = \"165 mm\"";
  if (says("end-of-file")) return "a bracket or a quote is not closed";
  if (says("control characters")) return "close the text with a quote on the same line";
  if (says("not representable") || says("could not be interpreted")) return "the number is too large";
  return "";
}

struct Describe {
  std::string operator()(const TomlNode::Table&) const { return "a table"; }
  std::string operator()(const TomlNode::Array&) const { return "a list"; }
  std::string operator()(const std::string&) const { return "a text"; }
  std::string operator()(std::int64_t) const { return "a whole number"; }
  std::string operator()(double) const { return "a number"; }
  std::string operator()(bool) const { return "true or false"; }
  std::string operator()(const TomlNode::Date&) const { return "a date or time"; }
};

struct Show {
  std::string operator()(const TomlNode::Table&) const { return "{…}"; }
  std::string operator()(const TomlNode::Array& items) const {
    std::string text;
    for (const TomlNode& item : items) {
      text += (text.empty() ? "" : ", ") + shown(item);
      if (text.size() > 40) return "[" + text + ", …]";
    }
    return "[" + text + "]";
  }
  std::string operator()(const std::string& text) const {
    return "\"" + (text.size() > 60 ? text.substr(0, 57) + "…" : text) + "\"";
  }
  std::string operator()(std::int64_t value) const { return fmt::to_string(value); }
  std::string operator()(double value) const { return fmt::format("{:.6g}", value); }
  std::string operator()(bool value) const { return value ? "true" : "false"; }
  std::string operator()(const TomlNode::Date&) const { return "a date"; }
};

}  // namespace

const TomlNode* find(const TomlNode& node, const std::string& key) {
  if (const auto* table = node.table())
    for (const TomlEntry& entry : *table)
      if (entry.key == key) return &entry.value;
  return nullptr;
}

std::string describe(const TomlNode& node) {
  return std::visit(Describe{}, node.data);
}

std::string shown(const TomlNode& node) {
  return std::visit(Show{}, node.data);
}

std::string read_text_file(const std::string& path) {
  std::error_code status;
  if (std::filesystem::is_directory(path, status)) throw FileError(path + " is a directory", "name the file itself");
  errno = 0;
  std::ifstream stream(path, std::ios::binary);
  if (!stream) throw FileError(fmt::format("cannot read {}: {}", path, std::strerror(errno)));
  std::string text{std::istreambuf_iterator<char>(stream), std::istreambuf_iterator<char>()};
  if (stream.bad()) throw FileError(fmt::format("cannot read {}: {}", path, std::strerror(errno)));
  return text;
}

TomlNode parse_toml(const std::string& text, const std::string& file) {
  try {
    TomlNode root;
    root.data = convert_table(toml::parse(text, file), file);
    root.place = {file, 1, 1};
    return root;
  } catch (const toml::parse_error& fault) {
    const std::string description(fault.description());
    throw InputError(reworded(description), hint_for(description), place_of(fault.source(), file));
  }
}

}  // namespace polepitch
