// Keys of the case file by their dotted path, and what identifies a variation of the file.
#include <fmt/format.h>
#define XXH_INLINE_ALL
#include <xxhash.h>

#include <algorithm>
#include <filesystem>
#include <map>
#include <sstream>

#include "cases/case_tables.h"
#include "cases/command_line.h"
#include "cases/read_drawing.h"
#include "cases/study.h"
#include "cases/variation_plan.h"

namespace polepitch {
namespace {

std::vector<std::string> split(const std::string& path) {
  std::vector<std::string> words;
  std::istringstream stream(path);
  for (std::string word; std::getline(stream, word, '.');) words.push_back(word);
  return words;
}

std::string text_at(const TomlNode& table, const std::string& key, const std::string& otherwise) {
  const TomlNode* node = find(table, key);
  return node != nullptr && node->text() != nullptr ? *node->text() : otherwise;
}

/// The parameters of the table that holds the key, with the types that this file chose.
const CaseTable* table_of(const std::vector<CaseTable>& tables, const std::string& path, const TomlNode* node) {
  for (const CaseTable& table : tables) {
    if (table.path != path) continue;
    if (table.type_key.empty()) return &table;
    if (node != nullptr && text_at(*node, table.type_key, path == "stator" ? "slotted" : "") == table.type)
      return &table;
  }
  return nullptr;
}

const TomlNode* node_at(const TomlNode& root, const std::vector<std::string>& tables) {
  const TomlNode* node = &root;
  for (std::size_t i = 0; i < tables.size() && node != nullptr; ++i) {
    if (node->array() != nullptr) {
      node = &(*node->array())[std::stoul(tables[i])];
      continue;
    }
    node = find(*node, tables[i]);
  }
  return node;
}

std::string tables_path(const std::vector<std::string>& tables) {
  std::string path;
  for (const std::string& table : tables) path += (path.empty() ? "" : ".") + table;
  return path;
}

/// Same bytes for the same content, whatever the order, the comments and the spaces of the file.
void add_canonical(const TomlNode& node, std::string& text) {
  if (const auto* table = node.table()) {
    std::map<std::string, const TomlNode*> sorted;
    for (const TomlEntry& entry : *table) sorted[entry.key] = &entry.value;
    text += '{';
    for (const auto& [key, value] : sorted) {
      text += fmt::format("{}:{}=", key.size(), key);
      add_canonical(*value, text);
    }
    text += '}';
  } else if (const auto* array = node.array()) {
    text += '[';
    for (const TomlNode& item : *array) add_canonical(item, text);
    text += ']';
  } else if (const auto* words = node.text()) {
    text += fmt::format("t{}:{}", words->size(), *words);
  } else if (const auto* integer = node.integer()) {
    text += fmt::format("i{};", *integer);
  } else if (const auto* number = node.floating()) {
    text += fmt::format("d{};", *number);
  } else if (const auto* flag = node.flag()) {
    text += *flag ? "T" : "F";
  }
}

void add_file(const std::filesystem::path& path, std::string& text) {
  try {
    const std::string content = read_text_file(path.string());
    text += fmt::format("file {}:{}", content.size(), content);
    if (path.extension() != ".toml") return;
    if (const std::string csv = text_at(parse_toml(content, path.string()), "bh_csv", ""); !csv.empty())
      add_file(path.parent_path() / csv, text);
  } catch (const Error&) {
    // Told when the case is read.
  }
}

}  // namespace

std::vector<std::string> study_names(const TomlNode& root) {
  std::vector<std::string> names;
  std::map<std::string, int> seen;
  const TomlNode* list = find(root, "study");
  if (list == nullptr || list->array() == nullptr) return names;
  for (const TomlNode& study : *list->array()) {
    const std::string type = text_at(study, "type", "");
    const int count = ++seen[type];
    names.push_back(count == 1 ? type : fmt::format("{}-{}", type, count));
  }
  return names;
}

std::optional<CasePath> find_case_path(const TomlNode& root, const TomlNode& node, Diagnostics& faults) {
  if (node.text() == nullptr) return std::nullopt;  // told by its reader
  const auto refuse = [&](const std::string& what, const std::string& hint) {
    faults.push_back({node.place, fmt::format("path = \"{}\": {}", *node.text(), what), hint});
    return std::nullopt;
  };
  std::vector<std::string> words = split(*node.text());
  if (words.size() < 2) return refuse("no key in a table", "write it like \"stator.slot.opening_width\"");
  CasePath found{*node.text(), {}, {words.begin(), words.end() - 1}};
  std::string path = tables_path(found.tables);
  if (words.front() == "study") {
    const std::vector<std::string> names = study_names(root);
    const auto it = std::find(names.begin(), names.end(), words[1]);
    if (it == names.end() || words.size() != 3)
      return refuse(fmt::format("there is no study \"{}\" in this file", words[1]), suggestion(words[1], names));
    found.tables[1] = fmt::format("{}", it - names.begin());
    path = "study";
  }
  const std::vector<CaseTable> tables = case_tables();
  const CaseTable* table = table_of(tables, path, node_at(root, found.tables));
  const auto varies = [](const std::string& p) {
    return p != "output" && p.rfind("sweep", 0) != 0 && p.rfind("optimise", 0) != 0 && !p.ends_with(".area");
  };
  if (table == nullptr || !varies(path)) {
    std::vector<std::string> names;
    for (const CaseTable& t : tables)
      if (!t.path.empty() && varies(t.path) && (names.empty() || names.back() != t.path)) names.push_back(t.path);
    return refuse(fmt::format("there is no table [{}] here to vary", path), suggestion(path, names));
  }
  std::vector<std::string> names;
  for (const Parameter& p : table->parameters) {
    names.push_back(p.name);
    if (p.name == words.back()) found.declared = p;
  }
  if (found.declared.name.empty())
    return refuse(fmt::format("unknown key \"{}\" in [{}]", words.back(), path), suggestion(words.back(), names));
  const Form form = found.declared.form;
  if (form != Form::quantity && form != Form::integer && form != Form::choice && form != Form::text &&
      form != Form::flag)
    return refuse("a list cannot vary", "vary a key with a single value");
  return found;
}

void put_value(TomlNode& root, const CasePath& path, const TomlNode& value) {
  TomlNode* node = &root;
  for (const std::string& word : path.tables) {
    if (auto* array = std::get_if<TomlNode::Array>(&node->data)) {
      node = &(*array)[std::stoul(word)];
      continue;
    }
    auto& table = std::get<TomlNode::Table>(node->data);
    auto it = std::find_if(table.begin(), table.end(), [&](const TomlEntry& e) { return e.key == word; });
    if (it == table.end()) it = table.insert(table.end(), TomlEntry{word, value.place, TomlNode{{}, value.place}});
    node = &it->value;
  }
  auto& table = std::get<TomlNode::Table>(node->data);
  const std::string key = path.declared.name;
  const auto it = std::find_if(table.begin(), table.end(), [&](const TomlEntry& e) { return e.key == key; });
  if (it == table.end())
    table.push_back({key, value.place, value});
  else
    it->value = value;
}

std::string point_key(const TomlNode& root, const std::string& case_path, const std::string& reference) {
  std::string text = fmt::format("polepitch {} {}", program_version(), reference);
  TomlNode kept = root;
  auto& table = std::get<TomlNode::Table>(kept.data);
  std::erase_if(table, [](const TomlEntry& e) {
    return e.key == "sweep" || e.key == "optimise" || e.key == "output" || e.key == "title";
  });
  add_canonical(kept, text);
  if (const TomlNode* files = find(root, "material_files"); files != nullptr && files->array() != nullptr)
    for (const TomlNode& file : *files->array())
      if (file.text() != nullptr) add_file(std::filesystem::path(case_path).parent_path() / *file.text(), text);
  for (const std::string& drawing : named_drawings(root))
    add_file(std::filesystem::path(case_path).parent_path() / drawing, text);
  const XXH128_hash_t hash = XXH3_128bits(text.data(), text.size());
  return fmt::format("{:016x}{:016x}", hash.high64, hash.low64);
}

}  // namespace polepitch
