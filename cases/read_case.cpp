// The case file as a whole: which tables there are, which catalogue entry each takes, and the materials it names.
#include <fmt/format.h>

#include <algorithm>
#include <filesystem>
#include <set>

#include "cases/block_reader.h"
#include "cases/case.h"
#include "cases/case_tables.h"
#include "cases/material_library.h"
#include "cases/optimise_plan.h"
#include "cases/read_drawing.h"
#include "cases/study.h"
#include "cases/variation_plan.h"
#include "geometry/catalogue.h"
#include "geometry/drawn_area.h"

namespace polepitch {
namespace {

using Parameters = std::vector<Parameter>;

/// A parameter that names a material, to be checked once the materials are known.
struct MaterialUse {
  std::string path, material;
  Place place;
};

struct Reader {
  const TomlNode& root;
  std::string path;  // of the case file
  Diagnostics faults;
  std::vector<MaterialUse> uses;
  std::set<std::string> failed_materials;  // their files are at fault, which is told already

  void fault(const Place& place, std::string message, std::string hint = "") {
    faults.push_back({place, std::move(message), std::move(hint)});
  }
};

void note_materials(Reader& reader, const Block& block, const Parameters& parameters) {
  for (const Parameter& p : parameters) {
    if (!names_material(p) || !block.values.has(p.name)) continue;
    const std::string path = block.path + "." + p.name;
    const Place place = block.values.place(p.name);
    if (p.form == Form::text)
      reader.uses.push_back({path, block.values.text(p.name), place});
    else
      for (const std::string& name : block.values.texts(p.name)) reader.uses.push_back({path, name, place});
  }
}

Block read_plain(Reader& reader, const std::string& path, const Parameters& parameters, bool required) {
  const TomlNode* node = find(reader.root, path);
  if (node == nullptr && required)
    reader.fault(reader.root.place, fmt::format("the table [{}] is missing", path),
                 "docs/case-file.md and `polepitch new` show what it holds");
  Block block = read_block(path, node, parameters, {}, reader.faults);
  note_materials(reader, block, parameters);
  return block;
}

/// The name under `key` of a table that has a type; "" when it is at fault or missing.
std::string read_type(Reader& reader, const std::string& path, const TomlNode& table, const std::string& key,
                      const std::vector<std::string>& names, const std::string& fallback) {
  Parameter type{.name = key, .form = Form::choice, .choices = names};
  if (const TomlNode* node = find(table, key)) {
    const std::optional<Value> value = read_value(type, path + "." + key, *node, reader.faults);
    return value ? std::get<std::string>(value->data) : "";
  }
  if (fallback.empty())
    reader.fault(table.place, fmt::format("{}.{} is missing", path, key), "one of: " + allowed_values(type));
  return fallback;
}

template <class Entry>
const Entry* choose(Reader& reader, const std::string& path, const TomlNode& table, const std::string& key,
                    const std::vector<Entry>& catalogue, const std::string& fallback = "") {
  std::vector<std::string> names;
  for (const Entry& entry : catalogue) names.push_back(entry.name);
  const std::string name = read_type(reader, path, table, key, names, fallback);
  for (const Entry& entry : catalogue)
    if (entry.name == name) return &entry;
  return nullptr;
}

Block read_slot(Reader& reader, const std::string& side, const TomlNode& table, const CatalogueEntry& owner) {
  const std::string path = side + ".slot";
  const TomlNode* node = find(table, "slot");
  Block block;
  block.path = path;
  if (!owner.takes_slot) {
    if (node != nullptr)
      reader.fault(node->place, fmt::format("a {} of type {} has no slots", side, owner.name),
                   fmt::format("remove the table [{}]", path));
    return block;
  }
  if (node == nullptr || node->table() == nullptr) {
    reader.fault(node == nullptr ? table.place : node->place, fmt::format("the table [{}] is missing", path),
                 "it holds the shape of the slots and their sizes");
    return block;
  }
  const CatalogueEntry* shape = choose(reader, path, *node, "shape", slot_catalogue());
  if (shape == nullptr) return block;
  block = read_block(path, node, shape->parameters, {"shape"}, reader.faults);
  block.type = shape->name;
  note_materials(reader, block, shape->parameters);
  read_drawing(*shape, *node, reader.path, block, reader.faults);
  return block;
}

Block read_rotor_winding(Reader& reader, const TomlNode& table, const CatalogueEntry& owner) {
  const TomlNode* node = find(table, "winding");
  Block block;
  block.path = "rotor.winding";
  if (node != nullptr && !owner.takes_winding)
    reader.fault(node->place, fmt::format("a {} rotor has no winding of this kind", owner.name),
                 "remove the table [rotor.winding]");
  if (!owner.takes_winding) return block;
  if (node == nullptr || node->table() == nullptr) {
    reader.fault(node == nullptr ? table.place : node->place, "the table [rotor.winding] is missing",
                 "it holds the winding of the rotor, with the keys of [winding]");
    return block;
  }
  block = read_block("rotor.winding", node, winding_parameters(), {}, reader.faults);
  note_materials(reader, block, winding_parameters());
  return block;
}

void read_side(Reader& reader, const std::string& side, const std::vector<CatalogueEntry>& catalogue,
               const std::string& fallback, Block& block, Block& slot, Block* winding) {
  block.path = side;
  const TomlNode* node = find(reader.root, side);
  if (node == nullptr || node->table() == nullptr) {
    reader.fault(node == nullptr ? reader.root.place : node->place, fmt::format("the table [{}] is missing", side),
                 fmt::format("`polepitch list {}s` names the types", side));
    return;
  }
  const CatalogueEntry* entry = choose(reader, side, *node, "type", catalogue, fallback);
  if (entry == nullptr) return;
  std::vector<std::string> others = {"type", "slot", "area"};
  if (winding != nullptr) others.push_back("winding");
  block = read_block(side, node, entry->parameters, others, reader.faults);
  block.type = entry->name;
  note_materials(reader, block, entry->parameters);
  read_drawing(*entry, *node, reader.path, block, reader.faults);
  for (const Block& area : block.areas) note_materials(reader, area, area_parameters());
  slot = read_slot(reader, side, *node, *entry);
  if (winding != nullptr) *winding = read_rotor_winding(reader, *node, *entry);
}

Machine read_machine(Reader& reader) {
  Machine machine;
  machine.rating = read_plain(reader, "rating", rating_parameters(), false);
  machine.general = read_plain(reader, "machine", general_parameters(), true);
  machine.winding = read_plain(reader, "winding", winding_parameters(), false);
  machine.mesh = read_plain(reader, "mesh", mesh_parameters(), false);
  machine.limits = read_plain(reader, "limits", limit_parameters(), false);
  read_side(reader, "stator", stator_catalogue(), "slotted", machine.stator, machine.stator_slot, nullptr);
  read_side(reader, "rotor", rotor_catalogue(), "", machine.rotor, machine.rotor_slot, &machine.rotor_winding);
  if (!machine.winding.present && machine.stator_slot.present)
    reader.fault(reader.root.place, "the table [winding] is missing", "a slotted stator carries a winding");
  Values& general = machine.general.values;
  if (!general.has("rotor_material") && general.has("stator_material"))
    general.set("rotor_material", Value{general.text("stator_material"), general.place("stator_material"), false});
  return machine;
}

std::vector<Block> read_studies(Reader& reader) {
  std::vector<Block> studies;
  const TomlNode* list = find(reader.root, "study");
  if (list == nullptr) return studies;
  if (list->array() == nullptr) {
    reader.fault(list->place, "\"study\" is not a list of tables", "write [[study]] with two pairs of brackets");
    return studies;
  }
  for (std::size_t i = 0; i < list->array()->size(); ++i) {
    const TomlNode& node = (*list->array())[i];
    const std::string path = fmt::format("study {}", i + 1);
    if (node.table() == nullptr) {
      reader.fault(node.place, fmt::format("{} is {}, a table is needed", path, describe(node)), "write [[study]]");
      continue;
    }
    const StudyType* type = choose(reader, path, node, "type", study_types());
    if (type == nullptr) continue;
    Block block = read_block(path, &node, type->parameters, {"type"}, reader.faults);
    block.type = type->name;
    note_materials(reader, block, type->parameters);
    if (type->needs_rating && find(reader.root, "rating") == nullptr)
      reader.fault(node.place, fmt::format("{}, a {} study, needs a [rating]", path, type->name),
                   "give power, line_voltage, frequency and power_factor");
    studies.push_back(std::move(block));
  }
  return studies;
}

/// The user's own files, beside the library. A file that cannot be read is a fault of the line that names it.
void add_material_files(Reader& reader, const Block& top, const std::string& case_path, Materials& materials) {
  if (!top.values.has("material_files")) return;
  const Place place = top.values.place("material_files");
  for (const std::string& name : top.values.texts("material_files")) {
    const std::string path = (std::filesystem::path(case_path).parent_path() / name).string();
    try {
      Material material = read_material_file(path);
      if (materials.count(material.name) > 0)
        reader.fault(place, fmt::format("the material \"{}\" of {} is there already", material.name, name),
                     "give it another name");
      else
        materials.emplace(material.name, std::move(material));
    } catch (const FileError& error) {
      reader.failed_materials.insert(std::filesystem::path(name).stem().string());
      reader.fault(place, "material_files: " + error.diagnostics().front().message,
                   "paths are relative to the case file");
    } catch (const InputError& error) {
      reader.failed_materials.insert(std::filesystem::path(name).stem().string());
      for (const Diagnostic& d : error.diagnostics()) reader.faults.push_back(d);
    }
  }
}

void check_materials(Reader& reader, const Materials& materials) {
  std::vector<std::string> names;
  for (const auto& [name, material] : materials) names.push_back(name);
  for (const MaterialUse& use : reader.uses)
    if (materials.count(use.material) == 0 && reader.failed_materials.count(use.material) == 0)
      reader.fault(use.place, fmt::format("{} = \"{}\" is not a known material", use.path, use.material),
                   suggestion(use.material, names));
}

/// In the order of the file; what has no line stands first.
[[noreturn]] void throw_faults(Reader& reader) {
  std::stable_sort(reader.faults.begin(), reader.faults.end(), [](const Diagnostic& a, const Diagnostic& b) {
    return std::pair(a.place.line, a.place.column) < std::pair(b.place.line, b.place.column);
  });
  throw InputError(std::move(reader.faults));
}

}  // namespace

Case read_case(const std::string& path) {
  const std::string text = read_text_file(path);
  if (text.find_first_not_of(" \t\r\n") == std::string::npos)
    throw InputError("the case file is empty", "`polepitch new` writes one to start from", {path, 1, 1});
  return read_case(parse_toml(text, path), path, text);
}

Case read_case(const TomlNode& root, const std::string& path, const std::string& text) {
  Case kase;
  kase.path = path;
  kase.name = std::filesystem::path(path).stem().string();
  kase.text = text;
  Reader reader{root, path, {}, {}, {}};
  const Block top = read_block(
      "", &root, case_parameters(),
      {"rating", "machine", "stator", "winding", "rotor", "mesh", "limits", "output", "study", "sweep", "optimise"},
      reader.faults);
  kase.title = top.values.has("title") ? top.values.text("title") : kase.name;
  kase.machine = read_machine(reader);
  kase.studies = read_studies(reader);
  kase.output = read_plain(reader, "output", output_parameters(), false);
  read_variation_plan(root, reader.faults);  // its faults are told with the file's others, and those of [optimise]
  read_optimise_plan(root, reader.faults);
  kase.materials = load_material_library();
  add_material_files(reader, top, path, kase.materials);
  check_materials(reader, kase.materials);
  if (!reader.faults.empty()) throw_faults(reader);
  return kase;
}

}  // namespace polepitch
