#include "post/figure_section.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "post/figure_axes.h"
#include "post/figure_palette.h"

namespace polepitch {
namespace {

constexpr double pi_ = 3.14159265358979323846;
constexpr double margin = 16, head = 52, field_size = 640, column = 236;  // pt

struct Drawing {
  Canvas& canvas;
  const Section& section;
  View view;
  double rotor_angle;
};

// Rings of a layered machine tell each other apart by lightness; their place in the list of regions gives it.
Look layer_look(const Section& section, const Region& region) {
  int place = 0;
  for (const Region& other : section.regions) {
    if (&other == &region || other.name == region.name) break;
    place += other.role == Role::layer ? 1 : 0;
  }
  return {from_lch(86.0 - 11 * (place % 4), 8, 200 + 40 * place), Hatch::none, {}};
}

Look look_of(const Section& section, const Region& region) {
  if (region.role == Role::layer) return layer_look(section, region);
  if (region.role != Role::winding || region.branch < 0) return role_look(region.role, region.side);
  return coil_look(section, region.branch);
}

template <typename Draw>
void each_copy(const Drawing& d, Draw draw) {
  for (const Region& region : d.section.regions)
    for (int k = 0; k < d.section.sectors; ++k)
      draw(region, k, sector_rotation(d.section, region.side, k, d.rotor_angle));
}

void fill_regions(const Drawing& d) {
  // Copies of a region in one path: neighbours over a sector edge then meet without a seam.
  for (const Region& region : d.section.regions) {
    const Look look = look_of(d.section, region);
    if (region.role == Role::air) continue;
    const SideSection& side = d.section.sides[static_cast<std::size_t>(region.side)];
    Path path;
    for (int k = 0; k < d.section.sectors; ++k)
      append_region(path, side, region, d.view, sector_rotation(d.section, region.side, k, d.rotor_angle));
    d.canvas.fill(path, look.fill);
    d.canvas.hatch(std::move(path), look.hatch, {look.line, 0.8, {}}, 4.5);
  }
}

void draw_outlines(const Drawing& d) {
  for (Side side : {Side::stator, Side::rotor}) {
    const SideSection& s = d.section.sides[static_cast<std::size_t>(side)];
    const std::vector<int> curves = visible_curves(d.section, side);
    Path path;
    for (int k = 0; k < d.section.sectors; ++k)
      append_curves(path, s, curves, d.view, sector_rotation(d.section, side, k, d.rotor_angle));
    d.canvas.stroke(std::move(path), {ink, 0.7, {}});
  }
}

// Radial extent of a region [m], from its points.
double radial_extent(const SideSection& side, const Region& region) {
  double low = 1e300, high = 0;
  for (int entry : region.loops.front()) {
    const Curve& curve = side.curves[static_cast<std::size_t>(entry < 0 ? -1 - entry : entry)];
    const Point& p = side.points[static_cast<std::size_t>(curve.start)];
    low = std::min(low, std::hypot(p.x, p.y)), high = std::max(high, std::hypot(p.x, p.y));
  }
  return high - low;
}

void draw_arrow(Canvas& canvas, Point centre, double angle, double length) {
  const double ux = std::cos(angle), uy = -std::sin(angle), headsize = std::min(6.0, 0.45 * length);
  const Point tail{centre.x - ux * length / 2, centre.y - uy * length / 2};
  const Point tip{centre.x + ux * length / 2, centre.y + uy * length / 2};
  const Point neck{tip.x - ux * headsize, tip.y - uy * headsize};
  Path shaft, point;
  shaft.move(tail).line(neck);
  point.move(tip).line({neck.x - uy * headsize * 0.5, neck.y + ux * headsize * 0.5});
  point.line({neck.x + uy * headsize * 0.5, neck.y - ux * headsize * 0.5}).close();
  canvas.stroke(std::move(shaft), {ink, 1.3, {}});
  canvas.fill(std::move(point), ink, Edges::smooth);
}

void draw_magnet_arrows(const Drawing& d) {
  using Pattern = Magnetisation::Pattern;
  each_copy(d, [&](const Region& region, int k, double rotation) {
    const Magnetisation& m = region.magnetisation;
    if (region.role != Role::magnet || m.pattern == Pattern::none || region.loops.empty()) return;
    const double own = m.pattern == Pattern::parallel
                           ? m.direction
                           : std::atan2(region.seed.y, region.seed.x) + (m.sign < 0 ? pi_ : 0);
    const double angle = own + rotation + d.view.turn + (sector_sign(d.section, k) < 0 ? pi_ : 0);
    const double extent = radial_extent(d.section.sides[static_cast<std::size_t>(region.side)], region);
    const double length = std::max(9.0, 0.75 * std::min(extent, std::sqrt(region.area)) * d.view.scale);
    draw_arrow(d.canvas, d.view(region.seed, rotation), angle, length);
  });
}

void draw_labels(const Drawing& d) {
  each_copy(d, [&](const Region& region, int k, double rotation) {
    const double size = std::min(13.0, 0.42 * std::sqrt(region.area) * d.view.scale);
    const bool coil = region.role == Role::winding || region.role == Role::field_winding;
    if (!coil || region.branch < 0 || size < 4.5) return;
    d.canvas.text(d.view(region.seed, rotation), coil_side_label(d.section, region, k),
                  {.size = size, .colour = ink, .across = Anchor::middle, .bold = true, .halo = true});
  });
}

std::string role_words(const Region& region) {
  switch (region.role) {
    case Role::core:
      return region.side == Side::stator ? "stator core" : "rotor core";
    case Role::field_winding:
      return "field winding F";
    case Role::bar:
      if (region.name.find("damper") != std::string::npos) return "damper bar";
      return region.layer < 0 ? "cage bar" : region.layer == 0 ? "inner cage bar" : "outer cage bar";
    case Role::magnet:
      return "magnet, arrow to its north";
    case Role::wedge:
      return "wedge";
    case Role::insulation:
      return "insulation";
    case Role::shaft:
      return "shaft";
    case Role::layer:
      return region.name + ", " + region.material;
    case Role::sleeve:
      return region.name;  // sleeve, hub
    case Role::winding:
    case Role::air:
      break;
  }
  return "";
}

std::vector<LegendEntry> legend_entries(const Section& section) {
  std::vector<LegendEntry> entries;
  const auto add = [&](const std::string& words, const Look& look) {
    const auto same = [&](const LegendEntry& e) { return e.words == words; };
    if (words.empty() || std::any_of(entries.begin(), entries.end(), same)) return;
    entries.push_back({.words = words, .line = {}, .patch = true, .look = look});
  };
  for (std::size_t b = 0; b < section.branches.size(); ++b)
    if (section.branches[b].kind == BranchKind::phase)
      add("phase " + section.branches[b].name, phase_look(static_cast<int>(b)));
    else if (section.branches[b].kind == BranchKind::rotor_phase)
      add("rotor phase " + section.branches[b].name, coil_look(section, static_cast<int>(b)));
  for (const Region& region : section.regions) add(role_words(region), look_of(section, region));
  add("air", role_look(Role::air, Side::stator));
  return entries;
}

// Of the outer side's parts, without air that a drawn core of any outline may have around it.
double core_radius(const Section& section) {
  const Side outer = section.outer_side();
  const SideSection& side = section.sides[static_cast<std::size_t>(outer)];
  double r = 0;
  for (const Region& region : section.regions) {
    if (region.side != outer || region.role == Role::air || region.loops.empty()) continue;
    for (int entry : region.loops.front()) {
      const Curve& curve = side.curves[static_cast<std::size_t>(entry < 0 ? -1 - entry : entry)];
      const Point& p = side.points[static_cast<std::size_t>(curve.start)];
      r = std::max(r, std::hypot(p.x, p.y));
    }
  }
  return r;
}

std::vector<std::string> dimension_lines(const Section& section) {
  const bool outside = section.rotor_outside();
  const double mm = 1e3, shaft = section.sides[outside ? 0 : 1].far_radius;
  std::vector<std::string> lines{fmt::format("poles  {}", 2 * section.pole_pairs)};
  if (section.winding.slots > 0) lines.push_back(fmt::format("slots  {}", section.winding.slots));
  lines.push_back(fmt::format("outer diameter  {:.4g} mm", 2 * mm * core_radius(section)));
  const char* stator = outside ? "stator diameter" : "bore diameter";
  const char* rotor = outside ? "rotor inner diameter" : "rotor diameter";
  lines.push_back(fmt::format("{}  {:.5g} mm", stator, 2 * mm * section.stator_radius));
  lines.push_back(fmt::format("{}  {:.5g} mm", rotor, 2 * mm * section.rotor_radius));
  lines.push_back(fmt::format("smallest gap  {:.3g} mm", mm * section.gap()));
  if (shaft > 0) lines.push_back(fmt::format("shaft hole  {:.4g} mm", 2 * mm * shaft));
  lines.push_back(fmt::format("stack length  {:.4g} mm", mm * section.length));
  if (section.sectors > 1)
    lines.push_back(fmt::format("solved sector  1/{}{}", section.sectors, section.sign < 0 ? ", sign changes" : ""));
  return lines;
}

void draw_column(Canvas& canvas, const Section& section, double left, bool dimensions) {
  double y = draw_legend(canvas, left, left + 1, head, legend_entries(section)) + 8;
  const TextStyle note{.size = 9, .colour = pale_ink};
  const bool coils = std::any_of(section.branches.begin(), section.branches.end(),
                                 [](const Branch& b) { return b.kind != BranchKind::bar; });
  for (const char* words : {"+  positive current flows towards", "the viewer, \u2212 away from the viewer"})
    if (coils) canvas.text({left, y += 13}, words, note);
  y += 14;
  if (dimensions)
    for (const std::string& words : dimension_lines(section))
      canvas.text({left, y += 16}, words, {.size = 10, .colour = ink});
}

void draw_scale_bar(Canvas& canvas, const View& view, Point at) {
  const double length = tidy_step(110 / view.scale, 1) > 110 / view.scale ? tidy_step(110 / view.scale, 2)
                                                                          : tidy_step(110 / view.scale, 1);
  const double width = length * view.scale;
  Path bar;
  bar.move({at.x, at.y - 4}).line({at.x, at.y}).line({at.x + width, at.y}).line({at.x + width, at.y - 4});
  canvas.stroke(std::move(bar), {ink, 1.1, {}});
  canvas.text({at.x + width + 6, at.y - 2}, fmt::format("{:.4g} mm", 1e3 * length), {.size = 10, .colour = ink});
}

}  // namespace

Look coil_look(const Section& section, int branch) {
  const BranchKind kind = section.branches[static_cast<std::size_t>(branch)].kind;
  if (kind == BranchKind::phase) return phase_look(branch);
  if (kind != BranchKind::rotor_phase) return role_look(Role::field_winding, Side::rotor);
  int phase = 0;
  for (int b = 0; b < branch; ++b)
    if (section.branches[static_cast<std::size_t>(b)].kind == kind) ++phase;
  return phase_look(phase);
}

std::string coil_side_label(const Section& section, const Region& region, int sector) {
  const Branch& branch = section.branches[static_cast<std::size_t>(region.branch)];
  const std::string letter = branch.kind == BranchKind::field ? "F" : branch.name;
  return letter + (region.turns * sector_sign(section, sector) < 0 ? "\u2212" : "+");
}

void draw_section_parts(Canvas& canvas, const Section& section, const View& view, double rotor_angle) {
  const Drawing drawing{canvas, section, view, rotor_angle};
  fill_regions(drawing);
  draw_outlines(drawing);
}

Canvas draw_section_figure(const Section& section, const SectionFigureOptions& options) {
  Canvas canvas(2 * margin + field_size + column, head + field_size + 36);
  const std::string what = options.window.whole ? "cross-section" : "cross-section, one pole pitch";
  draw_title(canvas, {margin, 10}, canvas.width() - 2 * margin, options.title.empty() ? what : options.title,
             options.title.empty() ? "" : what);
  const View view = view_of(section, options.window, options.rotor_angle, margin, head, field_size);
  const Drawing drawing{canvas, section, view, options.rotor_angle};
  canvas.begin_clip(margin - 1, head - 1, field_size + 2, field_size + 2);
  draw_section_parts(canvas, section, view, options.rotor_angle);
  draw_magnet_arrows(drawing);
  draw_labels(drawing);
  canvas.end_clip();
  if (!options.window.whole) canvas.stroke(Path::rectangle(margin, head, field_size, field_size), {pale_ink, 0.6, {}});
  draw_scale_bar(canvas, view, {margin, head + field_size + 22});
  draw_column(canvas, section, margin + field_size + 22, options.dimensions);
  return canvas;
}

}  // namespace polepitch
