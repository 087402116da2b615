#include "post/figure_outline.h"

#include <algorithm>
#include <cmath>

namespace polepitch {
namespace {

constexpr double pi_ = 3.14159265358979323846;

void append_curve(Path& path, const SideSection& side, int entry, const View& view, double rotation) {
  const bool back = entry < 0;
  const Curve& curve = side.curves[static_cast<std::size_t>(back ? -1 - entry : entry)];
  const Point from = side.points[static_cast<std::size_t>(back ? curve.end : curve.start)];
  const Point to = side.points[static_cast<std::size_t>(back ? curve.start : curve.end)];
  if (!curve.arc) {
    path.line(view(to, rotation));
    return;
  }
  const double radius = std::hypot(from.x - curve.centre.x, from.y - curve.centre.y);
  const double start = std::atan2(from.y - curve.centre.y, from.x - curve.centre.x);
  double sweep = std::atan2(to.y - curve.centre.y, to.x - curve.centre.x) - start;
  const bool ccw = curve.ccw != back;
  if (ccw && sweep <= 0) sweep += 2 * pi_;
  if (!ccw && sweep >= 0) sweep -= 2 * pi_;
  const double page = view.page_angle(start + rotation);
  path.arc(view(curve.centre, rotation), radius * view.scale, page, page - sweep);
}

Point start_of(const SideSection& side, int entry) {
  const Curve& curve = side.curves[static_cast<std::size_t>(entry < 0 ? -1 - entry : entry)];
  return side.points[static_cast<std::size_t>(entry < 0 ? curve.end : curve.start)];
}

// Two neighbours of one look need no line between them.
bool same_medium(const Region& a, const Region& b) {
  if (a.role != b.role) return false;
  return a.role == Role::air || (a.role == Role::core && a.material == b.material && a.name == b.name);
}

}  // namespace

Point View::operator()(Point p, double rotation) const {
  const double c = std::cos(turn + rotation), s = std::sin(turn + rotation);
  return {axis.x + scale * (c * p.x - s * p.y), axis.y - scale * (s * p.x + c * p.y)};
}

double outer_radius(const Section& section) {
  double radius = section.sides[0].far_radius;
  for (const SideSection& side : section.sides)
    for (const Point& p : side.points) radius = std::max(radius, std::hypot(p.x, p.y));
  return radius;
}

View view_of(const Section& section, const Window& window, double rotor_angle, double left, double top, double size) {
  const double outer = outer_radius(section);
  if (window.whole) return {0.5 * size / outer, {left + size / 2, top + size / 2}, 0};
  // The window is as wide as the pole pitch at the outer radius, and starts there.
  const double half_pitch = 0.5 * pi_ / section.pole_pairs;
  const double half_width = 1.02 * outer * std::sin(std::min(half_pitch, pi_ / 2));
  const double centre_angle = rotor_angle + window.pole * pi_ / section.pole_pairs;
  const double scale = 0.5 * size / half_width;
  return {scale, {left + size / 2, top + 0.01 * size + outer * scale}, pi_ / 2 - centre_angle};
}

void append_region(Path& path, const SideSection& side, const Region& region, const View& view, double rotation) {
  for (const std::vector<int>& loop : region.loops) {
    if (loop.empty()) continue;
    path.move(view(start_of(side, loop.front()), rotation));
    for (int entry : loop) append_curve(path, side, entry, view, rotation);
    path.close();
  }
}

std::vector<int> visible_curves(const Section& section, Side side) {
  const SideSection& s = section.sides[static_cast<std::size_t>(side)];
  std::vector<std::vector<const Region*>> users(s.curves.size());
  for (const Region& region : section.regions)
    if (region.side == side)
      for (const auto& loop : region.loops)
        for (int entry : loop) users[static_cast<std::size_t>(entry < 0 ? -1 - entry : entry)].push_back(&region);
  std::vector<bool> hidden(s.curves.size(), false);
  for (const auto* list : {&s.gap_curves, &s.start_edge, &s.end_edge})
    for (int curve : *list) hidden[static_cast<std::size_t>(curve)] = true;
  std::vector<int> visible;
  for (std::size_t i = 0; i < users.size(); ++i) {
    const bool inner_line = users[i].size() == 2 && same_medium(*users[i][0], *users[i][1]);
    if (!users[i].empty() && !hidden[i] && !inner_line) visible.push_back(static_cast<int>(i));
  }
  return visible;
}

void append_curves(Path& path, const SideSection& side, const std::vector<int>& curves, const View& view,
                   double rotation) {
  for (int curve : curves) {
    path.move(view(start_of(side, curve), rotation));
    append_curve(path, side, curve, view, rotation);
  }
}

double sector_rotation(const Section& section, Side side, int sector, double rotor_angle) {
  return sector * section.sector_angle() + (side == Side::rotor ? rotor_angle : 0);
}

int sector_sign(const Section& section, int sector) {
  return sector % 2 != 0 ? section.sign : 1;
}

}  // namespace polepitch
