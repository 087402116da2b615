#include "cases/read_drawing.h"

#include <fmt/format.h>

#include <algorithm>
#include <filesystem>
#include <map>

#include "geometry/drawn_area.h"
#include "geometry/dxf_reader.h"
#include "geometry/solid_model.h"

namespace polepitch {
namespace {

double metres(const std::string& unit) {
  static const std::map<std::string, double> units = {{"mm", 1e-3}, {"cm", 1e-2}, {"m", 1}, {"inch", 0.0254}};
  const auto it = units.find(unit);
  return it == units.end() ? 0 : it->second;
}

void read_areas(const TomlNode& list, Block& block, Diagnostics& faults) {
  if (list.array() == nullptr) {
    faults.push_back({list.place, fmt::format("\"{}.area\" is not a list of tables", block.path),
                      fmt::format("write [[{}.area]] with two pairs of brackets", block.path)});
    return;
  }
  for (std::size_t i = 0; i < list.array()->size(); ++i) {
    const TomlNode& node = (*list.array())[i];
    const std::string path = fmt::format("{}.area {}", block.path, i + 1);
    if (node.table() == nullptr) {
      faults.push_back({node.place, fmt::format("{} is {}, a table is needed", path, describe(node)),
                        fmt::format("write [[{}.area]]", block.path)});
      continue;
    }
    const std::size_t before = faults.size();
    Block area = read_block(path, &node, area_parameters(), {}, faults);
    if (faults.size() == before) block.areas.push_back(std::move(area));
  }
}

}  // namespace

void read_drawing(const CatalogueEntry& entry, const TomlNode& table, const std::string& case_path, Block& block,
                  Diagnostics& faults) {
  const TomlNode* areas = find(table, "area");
  if (areas != nullptr && !entry.takes_areas)
    faults.push_back({areas->place, fmt::format("a {} {} has no areas to name", entry.name, block.path),
                      fmt::format("only type = \"drawing\" takes [[{}.area]]", block.path)});
  if (!entry.is_drawn) return;
  if (areas != nullptr && entry.takes_areas) read_areas(*areas, block, faults);
  if (areas == nullptr && entry.takes_areas)
    faults.push_back({table.place, fmt::format("the tables [[{}.area]] are missing", block.path),
                      "they say what the areas of the drawing are"});
  const Values& v = block.values;
  if (!v.has("file") || !v.has("tolerance") || !v.has("unit")) return;  // told already
  const std::string path = (std::filesystem::path(case_path).parent_path() / v.text("file")).string();
  try {
    const DxfOptions options{metres(v.text("unit")), v.number("tolerance")};
    block.drawing = std::make_shared<const DxfDrawing>(is_solid_model(path) ? read_solid_model(path, options)
                                                                            : read_dxf(path, options));
  } catch (const FileError& error) {
    faults.push_back({v.place("file"), fmt::format("{}.file: {}", block.path, error.diagnostics().front().message),
                      "paths are relative to the case file"});
  } catch (const InputError& error) {
    for (const Diagnostic& d : error.diagnostics()) faults.push_back(d);
  }
}

std::vector<std::string> named_drawings(const TomlNode& root) {
  std::vector<std::string> names;
  const auto note = [&](const TomlNode* table) {
    const TomlNode* file = table == nullptr ? nullptr : find(*table, "file");
    if (file != nullptr && file->text() != nullptr) names.push_back(*file->text());
  };
  for (const char* side : {"stator", "rotor"}) {
    const TomlNode* table = find(root, side);
    note(table);
    if (table != nullptr) note(find(*table, "slot"));
  }
  std::sort(names.begin(), names.end());
  names.erase(std::unique(names.begin(), names.end()), names.end());
  return names;
}

}  // namespace polepitch
