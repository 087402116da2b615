#include "cases/listing.h"

#include <fmt/format.h>

#include <algorithm>
#include <filesystem>

#include "cases/block_reader.h"
#include "cases/data_directory.h"
#include "cases/material_library.h"
#include "cases/read_drawing.h"
#include "cases/study.h"
#include "geometry/catalogue.h"
#include "post/quantity_list.h"

namespace polepitch {
namespace {

using Entries = std::vector<ListEntry>;

Entries catalogue_entries(const std::vector<CatalogueEntry>& catalogue) {
  Entries entries;
  for (const CatalogueEntry& entry : catalogue) entries.push_back({entry.name, entry.sentence});
  return entries;
}

Entries study_entries() {
  Entries entries;
  for (const StudyType& study : study_types()) entries.push_back({study.name, study.sentence});
  return entries;
}

Entries material_entries() {
  Entries entries;
  for (const auto& [name, material] : load_material_library())
    entries.push_back(
        {name, fmt::format("{}{}: {}", material.kind, material.invented ? ", invented" : "", material.source)});
  return entries;
}

Entries quantity_entries() {
  Entries entries;
  for (const QuantityDefinition& quantity : quantity_list())
    entries.push_back({quantity.name, quantity.definition, quantity.unit, true});
  return entries;
}

std::filesystem::path machines_directory() {
  return std::filesystem::path(data_directory()) / "machines";
}

Entries machine_entries() {
  Entries entries;
  for (const auto& file : std::filesystem::directory_iterator(machines_directory())) {
    if (file.path().extension() != ".toml") continue;
    const std::string path = file.path().string();
    const TomlNode root = parse_toml(read_text_file(path), path);
    const TomlNode* title = find(root, "title");
    entries.push_back(
        {file.path().stem().string(), title != nullptr && title->text() != nullptr ? *title->text() : ""});
  }
  std::sort(entries.begin(), entries.end(), [](const ListEntry& a, const ListEntry& b) { return a.name < b.name; });
  return entries;
}

}  // namespace

const std::vector<std::string>& list_topics() {
  static const std::vector<std::string> topics = {"rotors",  "stators",    "slots",   "materials",
                                                  "studies", "quantities", "machines"};
  return topics;
}

std::vector<ListEntry> list_entries(const std::string& topic) {
  if (topic == "rotors") return catalogue_entries(rotor_catalogue());
  if (topic == "stators") return catalogue_entries(stator_catalogue());
  if (topic == "slots") return catalogue_entries(slot_catalogue());
  if (topic == "materials") return material_entries();
  if (topic == "studies") return study_entries();
  if (topic == "quantities") return quantity_entries();
  if (topic == "machines") return machine_entries();
  throw UsageError(fmt::format("there is no list of \"{}\"", topic), suggestion(topic, list_topics()));
}

std::string list_text(const std::vector<ListEntry>& entries) {
  std::size_t width = 0;
  for (const ListEntry& entry : entries) width = std::max(width, entry.name.size());
  std::string text;
  for (const ListEntry& entry : entries) {
    const std::string unit = entry.unit.empty() ? "" : fmt::format("[{}] ", entry.unit);
    text += fmt::format("{:<{}}  {}{}\n", entry.name, width, unit, entry.sentence);
  }
  return text;
}

std::string starter_case(const std::string& kind) {
  std::vector<std::string> names;
  for (const ListEntry& entry : machine_entries()) names.push_back(entry.name);
  if (std::find(names.begin(), names.end(), kind) == names.end())
    throw UsageError(fmt::format("there is no machine \"{}\" to start from", kind), suggestion(kind, names));
  return read_text_file((machines_directory() / (kind + ".toml")).string());
}

std::vector<std::pair<std::string, std::string>> starter_drawings(const std::string& kind) {
  std::vector<std::pair<std::string, std::string>> files;
  for (const std::string& name : named_drawings(parse_toml(starter_case(kind), kind)))
    files.emplace_back(name, read_text_file((machines_directory() / name).string()));
  return files;
}

}  // namespace polepitch
