#include "geometry/dxf_writer.h"

#include <algorithm>
#include <cmath>
#include <iterator>
#include <numbers>
#include <set>
#include <vector>

#include <fmt/format.h>

#include "geometry/curves.h"

namespace polepitch {

namespace {

constexpr double millimetre = 1e-3;

struct RoleLayer {
  Role role;
  const char* name;
  int colour;  // of the format's colour table
};

// The first of two regions' roles names the layer of the curve between them.
constexpr RoleLayer layers[] = {
    {Role::magnet, "MAGNET", 1},   {Role::bar, "BAR", 30},
    {Role::winding, "WINDING", 5}, {Role::field_winding, "FIELD-WINDING", 5},
    {Role::wedge, "WEDGE", 4},     {Role::insulation, "INSULATION", 3},
    {Role::sleeve, "SLEEVE", 6},   {Role::layer, "LAYER", 40},
    {Role::shaft, "SHAFT", 9},     {Role::core, "CORE", 7},
    {Role::air, "AIR", 8},
};
constexpr int gap_circle_colour = 8;

int rank(Role role) {
  int i = 0;
  while (layers[i].role != role) ++i;
  return i;
}

std::string side_name(Side side) {
  return side == Side::stator ? "STATOR-" : "ROTOR-";
}

std::string number(double si) {
  return fmt::format("{:.17g}", si / millimetre);
}

void add_layers(std::string& out) {
  out += "0\nSECTION\n2\nTABLES\n0\nTABLE\n2\nLAYER\n";
  out += fmt::format("70\n{}\n", 2 * (std::size(layers) + 1));
  for (Side side : {Side::stator, Side::rotor}) {
    for (const RoleLayer& layer : layers)
      out += fmt::format("0\nLAYER\n2\n{}\n70\n0\n62\n{}\n6\nCONTINUOUS\n", dxf_layer(side, layer.role), layer.colour);
    out += fmt::format("0\nLAYER\n2\n{}GAP-CIRCLE\n70\n0\n62\n{}\n6\nCONTINUOUS\n", side_name(side), gap_circle_colour);
  }
  out += "0\nENDTAB\n0\nENDSEC\n";
}

// The layer of each curve of a side.
std::vector<std::string> curve_layers(const Section& section, Side which) {
  const SideSection& side = section.sides[static_cast<std::size_t>(which)];
  std::vector<int> first(side.curves.size(), rank(Role::air));
  for (const Region& region : section.regions) {
    if (region.side != which) continue;
    for (const std::vector<int>& loop : region.loops)
      for (int entry : loop) {
        int& best = first[static_cast<std::size_t>(entry < 0 ? -1 - entry : entry)];
        best = std::min(best, rank(region.role));
      }
  }
  std::vector<std::string> names;
  for (int i : first) names.push_back(dxf_layer(which, layers[i].role));
  for (int c : side.gap_curves) names[static_cast<std::size_t>(c)] = side_name(which) + "GAP-CIRCLE";
  return names;
}

void add_curve(std::string& out, const SideSection& side, const Curve& c, const std::string& layer) {
  Point a = side.points[static_cast<std::size_t>(c.start)], b = side.points[static_cast<std::size_t>(c.end)];
  if (!c.arc) {
    out += fmt::format("0\nLINE\n8\n{}\n10\n{}\n20\n{}\n11\n{}\n21\n{}\n", layer, number(a.x), number(a.y), number(b.x),
                       number(b.y));
    return;
  }
  if (!c.ccw) std::swap(a, b);  // arcs of the format run counter-clockwise
  const auto angle = [&](Point p) {
    const double degrees = std::atan2(p.y - c.centre.y, p.x - c.centre.x) * 180 / std::numbers::pi;
    return fmt::format("{:.17g}", degrees < 0 ? degrees + 360 : degrees);
  };
  out += fmt::format("0\nARC\n8\n{}\n10\n{}\n20\n{}\n40\n{}\n50\n{}\n51\n{}\n", layer, number(c.centre.x),
                     number(c.centre.y), number(distance(a, c.centre)), angle(a), angle(b));
}

void add_name(std::string& out, const Region& region) {
  out += fmt::format("0\nTEXT\n8\n{}\n10\n{}\n20\n{}\n40\n{}\n1\n{}\n", dxf_layer(region.side, region.role),
                     number(region.seed.x), number(region.seed.y), number(0.05 * std::sqrt(region.area)), region.name);
}

}  // namespace

std::string dxf_layer(Side side, Role role) {
  return side_name(side) + layers[rank(role)].name;
}

std::string dxf_text(const Section& section) {
  std::string out = "0\nSECTION\n2\nHEADER\n9\n$ACADVER\n1\nAC1009\n9\n$INSUNITS\n70\n4\n0\nENDSEC\n";
  add_layers(out);
  out += "0\nSECTION\n2\nENTITIES\n";
  for (Side which : {Side::stator, Side::rotor}) {
    const SideSection& side = section.sides[static_cast<std::size_t>(which)];
    const std::vector<std::string> names = curve_layers(section, which);
    for (std::size_t i = 0; i < side.curves.size(); ++i) add_curve(out, side, side.curves[i], names[i]);
  }
  for (const Region& region : section.regions) add_name(out, region);
  return out + "0\nENDSEC\n0\nEOF\n";
}

}  // namespace polepitch
