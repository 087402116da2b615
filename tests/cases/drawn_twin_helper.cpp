#include "tests/cases/drawn_twin_helper.h"

#include <cmath>
#include <set>
#include <sstream>

#include <fmt/format.h>

#include "geometry/dxf_writer.h"

namespace polepitch {
namespace {

/// The text without the tables [stator], [stator.slot], [rotor] and [rotor.slot], and without what varies their keys:
/// [sweep…], [optimise…] and their lists.
std::string without_sides(const std::string& text) {
  std::istringstream lines(text);
  std::string kept, line;
  bool out = false;
  while (std::getline(lines, line)) {
    if (line.rfind("[", 0) == 0) {
      const std::string name = line.substr(line.find_first_not_of('['));
      out = false;
      for (const char* left_out : {"stator", "rotor", "sweep", "optimise"}) out = out || name.rfind(left_out, 0) == 0;
    }
    if (!out) kept += line + "\n";
  }
  return kept;
}

const char* role_word(const Section& section, const Region& region) {
  switch (region.role) {
    case Role::core:
      return "core";
    case Role::layer:
      return "solid-core";
    case Role::winding:
      return "winding";
    case Role::field_winding:
      return "field-winding";
    case Role::bar:
      return section.branches[static_cast<std::size_t>(region.branch)].kind == BranchKind::damper ? "damper-bar"
                                                                                                  : "bar";
    case Role::magnet:
      return "magnet";
    case Role::wedge:
      return "wedge";
    case Role::insulation:
      return "insulation";
    case Role::sleeve:
      return "sleeve";
    case Role::shaft:
      return "shaft";
    case Role::air:
      break;
  }
  return "air";
}

std::string magnet_table(const Region& region) {
  using Pattern = Magnetisation::Pattern;
  const Magnetisation& m = region.magnetisation;
  std::string text =
      fmt::format("[[rotor.area]]\nrole = \"magnet\"\nmaterial = \"{}\"\nat = [\"{:.17g} mm\", \"{:.17g} mm\"]\n",
                  region.material, region.seed.x * 1e3, region.seed.y * 1e3);
  if (m.pattern == Pattern::radial) return text + "magnetisation = \"radial\"\n";
  return text + fmt::format("direction_from = \"x-axis\"\ndirection = \"{:.17g} deg\"\n",
                            std::remainder(m.direction, 2 * 3.14159265358979323846) * 180 / 3.14159265358979323846);
}

}  // namespace

std::string drawn_twin(const Case& kase, const Section& section, const std::string& file) {
  std::string sides[2];
  const bool outside = section.rotor_outside();
  sides[0] = fmt::format("[stator]\ntype = \"{}drawing\"\nfile = \"{}\"\n{}_diameter = \"{:.17g} mm\"\nslots = {}\n",
                         outside ? "inner-" : "", file, outside ? "outer" : "bore", 2e3 * section.stator_radius,
                         std::max(section.winding.slots, 2));
  sides[1] = fmt::format("[rotor]\ntype = \"{}drawing\"\nfile = \"{}\"\nair_gap = \"{:.17g} mm\"\n",
                         outside ? "outer-" : "", file, 1e3 * section.gap());
  if (kase.machine.rotor.values.has("field_parallel_paths"))
    sides[1] += fmt::format("field_parallel_paths = {}\n", kase.machine.rotor.values.integer("field_parallel_paths"));
  const int paths = kase.machine.rotor.values.has("field_parallel_paths")
                        ? kase.machine.rotor.values.integer("field_parallel_paths")
                        : 1;
  std::set<std::string> seen;
  for (const Region& region : section.regions) {
    const int i = static_cast<int>(region.side);
    std::string table;
    if (region.role == Role::magnet) {
      table = magnet_table(region);
    } else {
      if (region.name.rfind("air gap", 0) == 0) continue;
      table =
          fmt::format("[[{}.area]]\nrole = \"{}\"\nlayer = \"{}\"\nmaterial = \"{}\"\n", i == 0 ? "stator" : "rotor",
                      role_word(section, region), dxf_layer(region.side, region.role), region.material);
      if (region.role == Role::layer) table += fmt::format("text = \"{}\"\n", region.name);
      if (region.role == Role::field_winding)
        table += fmt::format("text = \"{}\"\nturns = {}\n", region.name, std::lround(std::abs(region.turns) * paths));
    }
    if (seen.insert(table).second) sides[i] += table;
  }
  return without_sides(kase.text) + "\n" + sides[0] + "\n" + sides[1];
}

}  // namespace polepitch
