#include "cases/material_library.h"

#include <algorithm>
#include <filesystem>

#include <fmt/format.h>

#include "cases/bh_csv.h"
#include "cases/block_reader.h"
#include "cases/data_directory.h"

namespace polepitch {
namespace {

void copy_values(const Block& block, Material& material) {
  const Values& v = block.values;
  const auto number = [&](const char* name, double& into) {
    if (v.has(name)) into = v.number(name);
  };
  if (v.has("kind")) material.kind = v.text("kind");
  if (v.has("source")) material.source = v.text("source");
  if (v.has("invented")) material.invented = v.flag("invented");
  number("mu_r", material.mu_r);
  number("conductivity", material.conductivity);
  number("temperature_coefficient", material.temperature_coefficient);
  number("density", material.density);
  number("remanence", material.remanence);
  number("remanence_coefficient", material.remanence_coefficient);
  if (v.has("knee_field")) material.knee_field = v.number("knee_field");
  number("knee_coefficient", material.knee_coefficient);
}

void read_iron_loss(const TomlNode& root, Material& material, Diagnostics& faults) {
  const TomlNode* node = find(root, "iron_loss");
  if (node == nullptr) return;
  const std::size_t before = faults.size();
  const Block block = read_block("iron_loss", node, iron_loss_parameters(), {}, faults);
  if (faults.size() > before) return;
  const Values& v = block.values;
  material.iron_loss =
      IronLossCoefficients{v.number("hysteresis"), v.number("exponent"), v.number("classical"), v.number("excess")};
}

/// The lists b and h with their units, in SI.
bool read_inline_table(const Values& values, Material& material, Diagnostics& faults) {
  bool good = true;
  const auto list = [&](const char* name, const char* unit_name, Kind kind, std::vector<double>& into) {
    into = values.numbers(name);
    try {
      for (double& value : into) value = to_si(kind, value, values.text(unit_name));
    } catch (const InputError& error) {
      good = false;
      const Diagnostic& d = error.diagnostics().front();
      faults.push_back({values.place(unit_name), fmt::format("{}: {}", unit_name, d.message), d.hint});
    }
  };
  list("b", "b_unit", Kind::flux_density, material.b);
  list("h", "h_unit", Kind::current_sheet, material.h);
  return good;
}

/// Place of entry `row` of a list, of the list itself when there is none.
Place entry_place(const TomlNode& root, const char* name, int row) {
  const TomlNode* node = find(root, name);
  const TomlNode::Array* entries = node == nullptr ? nullptr : node->array();
  if (entries == nullptr) return root.place;
  if (row < 0 || row >= static_cast<int>(entries->size())) return node->place;
  return (*entries)[row].place;
}

void read_curve(const TomlNode& root, const Block& block, const std::string& path, Material& material,
                Diagnostics& faults) {
  const Values& v = block.values;
  const bool has_b = find(root, "b") != nullptr, has_h = find(root, "h") != nullptr, has_csv = v.has("bh_csv");
  if (has_b != has_h)
    faults.push_back({find(root, has_b ? "b" : "h")->place, fmt::format("{} is missing", has_b ? "h" : "b"),
                      "a B-H table needs both lists, of equal length"});
  if (has_csv && (has_b || has_h))
    faults.push_back({v.place("bh_csv"), "the B-H table is given twice", "keep either bh_csv or the lists b and h"});
  if ((has_csv || has_b || has_h) && v.given("mu_r"))
    faults.push_back({v.place("mu_r"), "mu_r and a B-H table exclude each other", "remove one of them"});
  if (has_csv) {
    try {
      BhTable table = read_bh_csv((std::filesystem::path(path).parent_path() / v.text("bh_csv")).string());
      material.b = std::move(table.b);
      material.h = std::move(table.h);
    } catch (const FileError& error) {
      faults.push_back({v.place("bh_csv"), "bh_csv: " + error.diagnostics().front().message,
                        "the path is relative to the material's own file"});
    } catch (const InputError& error) {
      faults.insert(faults.end(), error.diagnostics().begin(), error.diagnostics().end());
    }
  } else if (v.has("b") && v.has("h") && read_inline_table(v, material, faults)) {
    const BhFault fault = check_bh_table(material.b, material.h);
    if (!fault.message.empty())
      faults.push_back({entry_place(root, "b", fault.row), fault.message,
                        "H and B must rise strictly from 0, and B at least as fast as in vacuum"});
  }
}

/// What a kind cannot do without. A key that is in the file but at fault is not missed as well.
void check_kind(const TomlNode& root, const Block& block, const Material& material, Diagnostics& faults) {
  const auto has = [&](const char* name) { return find(root, name) != nullptr; };
  const auto missing = [&](const char* what, const char* hint) {
    faults.push_back({block.values.place("kind"), fmt::format("a {} needs {}", material.kind, what), hint});
  };
  const Values& v = block.values;
  if (material.kind == "steel" && !has("mu_r") && !has("b") && !has("h") && !has("bh_csv"))
    missing("a B-H table or mu_r", "bh_csv = \"my-steel.csv\", the lists b and h, or mu_r");
  if (material.kind == "conductor" && !has("conductivity")) missing("its conductivity", "conductivity = \"58 MS/m\"");
  if (material.kind == "magnet" && !has("remanence")) missing("its remanence", "remanence = \"1.1 T\"");
  if (material.kind != "magnet" && v.has("remanence"))
    faults.push_back(
        {v.place("remanence"), fmt::format("a {} has no remanence", material.kind), "kind = \"magnet\" has one"});
  if (material.kind == "magnet" && (has("b") || has("bh_csv")))
    faults.push_back({find(root, has("b") ? "b" : "bh_csv")->place, "a magnet has no B-H table here",
                      "give remanence and mu_r of its recoil line"});
}

}  // namespace

Material read_material_file(const std::string& path) {
  const TomlNode root = parse_toml(read_text_file(path), path);
  Diagnostics faults;
  Material material;
  material.name = std::filesystem::path(path).stem().string();
  const Block block = read_block("", &root, material_parameters(), {"iron_loss"}, faults);
  copy_values(block, material);
  read_curve(root, block, path, material, faults);
  read_iron_loss(root, material, faults);
  if (block.values.has("kind")) check_kind(root, block, material, faults);
  if (!faults.empty()) throw InputError(std::move(faults));
  return material;
}

Materials load_material_library() {
  std::vector<std::filesystem::path> files;
  for (const auto& entry : std::filesystem::directory_iterator(data_directory() + "/materials"))
    if (entry.path().extension() == ".toml") files.push_back(entry.path());
  std::sort(files.begin(), files.end());
  Materials materials;
  Diagnostics faults;
  for (const std::filesystem::path& file : files) {
    try {
      Material material = read_material_file(file.string());
      materials.emplace(material.name, std::move(material));
    } catch (const InputError& error) {
      faults.insert(faults.end(), error.diagnostics().begin(), error.diagnostics().end());
    }
  }
  if (!faults.empty()) throw InputError(std::move(faults));
  return materials;
}

}  // namespace polepitch
