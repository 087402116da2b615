// Where the flux density of a drawn core is measured: circles cut the teeth, rays the yoke.
#include <algorithm>
#include <cmath>
#include <numbers>

#include <fmt/format.h>

#include "geometry/drawn_side.h"

namespace polepitch {

namespace {

constexpr double pi = std::numbers::pi;

bool is_core(const DrawnSide& side, Point p) {
  const AreaRule* rule = side.rule_of(side.face_at(p));
  return rule != nullptr && (rule->role == Role::core || rule->role == Role::layer);
}

std::vector<double> crossing_angles(const DrawnSide& side, double r) {
  std::vector<double> angles;
  for (std::size_t i = 0; i < side.network.curves.size(); ++i) {
    const SketchCurve c = side.curve(static_cast<int>(i));
    const auto [low, high] = radial_range(c);
    if (side.joint[i] || r < low || r > high || high - low < 1e-9) continue;
    for (int q = 0; q < 4; ++q) {
      const SketchCurve arc{polar(r, q * pi / 2), polar(r, (q + 1) * pi / 2), true, {0, 0}, true, 0};
      for (Point p : meetings(c, arc, 1e-12)) angles.push_back(std::atan2(p.y, p.x));
    }
  }
  return angles;
}

struct Slot {
  double angle = 0, low = 1e300, high = 0;  // radii of the conductors
};

// Slots with coil sides or bars round the whole side, in the order of their angles from the first.
std::vector<Slot> slots_of(const DrawnSide& side) {
  std::vector<Slot> slots(side.slot_angles.size());
  for (std::size_t s = 0; s < slots.size(); ++s) slots[s].angle = side.slot_angles[s];
  for (const DrawnUnit& unit : side.units) {
    const AreaRule& rule = side.rules[static_cast<std::size_t>(unit.rule)];
    if (rule.role == Role::bar && !rule.damper) slots.push_back({unit.angle(), unit.r_low, unit.r_high});
    if (unit.slot < 0) continue;
    Slot& slot = slots[static_cast<std::size_t>(unit.slot)];
    slot.low = std::min(slot.low, unit.r_low), slot.high = std::max(slot.high, unit.r_high);
  }
  std::sort(slots.begin(), slots.end(), [&](const Slot& a, const Slot& b) { return a.angle < b.angle; });
  return slots;
}

struct Frame {
  const Plan& plan;
  double start, sector, turn;

  // From the drawing's frame into the sector; the sign is that of the copy the point lies in.
  Point inside(Point p, double& sign) const {
    p = turned(p, turn);
    double angle = std::fmod(std::atan2(p.y, p.x) - start, 2 * pi);
    if (angle < -1e-9) angle += 2 * pi;
    const int copy = std::clamp(static_cast<int>(std::floor(angle / sector + 1e-9)), 0, plan.sectors);
    sign = plan.sign < 0 && copy % 2 != 0 ? -1 : 1;
    return turned(p, -copy * sector);
  }
};

void add_teeth(const DrawnSide& side, const std::vector<Slot>& slots, const Frame& frame, SideDrawing& drawing) {
  const bool stator = side.side == Side::stator;
  const int steps = 6, count = static_cast<int>(slots.size()), own = frame.plan.in_sector(count);
  int first = 0;  // of the sector
  double least = 1e300;
  for (int k = 0; k < count; ++k) {
    double angle = std::fmod(slots[static_cast<std::size_t>(k)].angle + frame.turn - frame.start, 2 * pi);
    if (angle < 0) angle += 2 * pi;
    if (angle < least) least = angle, first = k;
  }
  std::vector<Gauge> gauges(static_cast<std::size_t>(own));
  const Slot& model = slots[static_cast<std::size_t>(first)];
  const double margin = 1e-3 * (model.high - model.low);
  for (int i = 0; i <= steps; ++i) {
    const double share = static_cast<double>(i) / steps;
    const double near = side.outer_side ? model.low + margin : model.high - margin,
                 far = side.outer_side ? model.high - margin : model.low + margin;
    const double r = near + share * (far - near);
    const std::vector<double> angles = crossing_angles(side, r);
    for (int k = 0; k < own; ++k) {
      const double a = slots[static_cast<std::size_t>((first + k) % count)].angle;
      const double b = slots[static_cast<std::size_t>((first + k + 1) % count)].angle;
      double width = angle_between(a, b);
      if (width <= 0) width += 2 * pi;
      const double centre = a + width / 2;
      if (!is_core(side, polar(r, centre))) continue;
      double before = -pi, behind = pi;
      for (double angle : angles) {
        const double off = angle_between(centre, angle);
        if (off < 0) before = std::max(before, off);
        if (off > 0) behind = std::min(behind, off);
      }
      double from_sign = 1, to_sign = 1;
      const Point p = polar(r, centre + before), q = polar(r, centre + behind);
      Gauge::Cut cut = make_cut(frame.inside(p, from_sign), frame.inside(q, to_sign));
      cut.width = distance(p, q);
      cut.to_sign = from_sign * to_sign;
      gauges[static_cast<std::size_t>(k)].cuts.push_back(cut);
    }
  }
  for (int k = 0; k < own; ++k) {
    Gauge& gauge = gauges[static_cast<std::size_t>(k)];
    if (gauge.cuts.empty()) continue;
    if (gauge.cuts.front().width > gauge.cuts.back().width) std::reverse(gauge.cuts.begin(), gauge.cuts.end());
    gauge.side = side.side;
    gauge.part = stator ? Gauge::Part::stator_tooth : Gauge::Part::rotor_tooth;
    gauge.name = fmt::format("{} tooth {}", stator ? "stator" : "rotor", k + 1);
    gauge.third = gauge.cuts.size() > 2 ? 2 : -1;
    drawing.gauges.push_back(std::move(gauge));
  }
}

// The core between two radii on a ray: the outermost piece of the outer side, the innermost of the inner one.
void add_yoke(const DrawnSide& side, double angle, const Frame& frame, std::string name, SideDrawing& drawing) {
  const double reach = 2 * side.largest_radius();
  const SketchCurve ray{{0, 0}, polar(reach, angle), false, {}, true, 0};
  std::vector<double> radii = {0};
  for (std::size_t i = 0; i < side.network.curves.size(); ++i) {
    if (side.joint[i]) continue;
    for (Point p : meetings(side.curve(static_cast<int>(i)), ray, 1e-9)) radii.push_back(std::hypot(p.x, p.y));
  }
  std::sort(radii.begin(), radii.end());
  std::vector<std::array<double, 2>> pieces;
  for (std::size_t i = 0; i + 1 < radii.size(); ++i) {
    if (radii[i + 1] - radii[i] < 1e-6 || !is_core(side, polar((radii[i] + radii[i + 1]) / 2, angle))) continue;
    if (!pieces.empty() && radii[i] - pieces.back()[1] < 1e-6)
      pieces.back()[1] = radii[i + 1];
    else
      pieces.push_back({radii[i], radii[i + 1]});
  }
  if (pieces.empty()) return;
  const bool stator = side.side == Side::stator;
  const auto [low, high] = side.outer_side ? pieces.back() : pieces.front();
  double sign = 1;
  Point at = frame.inside(polar(1, angle), sign);
  drawing.gauges.push_back(make_yoke_gauge(stator ? Gauge::Part::stator_yoke : Gauge::Part::rotor_yoke, side.side,
                                           std::move(name), std::atan2(at.y, at.x), low, high));
}

}  // namespace

void add_drawn_gauges(const Plan& plan, const DrawnSide& side, double turn, SideDrawing& drawing) {
  const Frame frame{plan, drawing.start_angle, drawing.sector_angle, turn};
  const std::vector<Slot> slots = slots_of(side);
  const char* word = side.side == Side::stator ? "stator" : "rotor";
  if (slots.empty())
    return add_yoke(side, drawing.start_angle - turn, frame, fmt::format("{} yoke at the sector's edge", word),
                    drawing);
  add_teeth(side, slots, frame, drawing);
  int number = 0;
  for (const Slot& slot : slots) {
    double sign = 1;
    double angle = std::fmod(slot.angle + turn - drawing.start_angle, 2 * pi);
    if (angle < 0) angle += 2 * pi;
    if (angle >= drawing.sector_angle) continue;
    frame.inside(polar(1, slot.angle), sign);
    add_yoke(side, slot.angle, frame, fmt::format("{} yoke behind slot {}", word, ++number), drawing);
  }
}

}  // namespace polepitch
