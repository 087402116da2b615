// Magnets, bars and coil sides of a drawn side: joined over the copies' borders, with remanence, turns and slots.
#include <algorithm>
#include <cmath>
#include <map>
#include <numbers>
#include <numeric>

#include <fmt/format.h>

#include "geometry/drawn_side.h"

namespace polepitch {

namespace {

constexpr double pi = std::numbers::pi;

bool is_unit(Role role) {
  return role == Role::magnet || role == Role::bar || role == Role::winding || role == Role::field_winding;
}

// Faces of one rule on both sides of a joint are one part; coil sides may be two that touch there.
std::vector<int> joined_faces(const DrawnSide& side, bool part_coils) {
  std::vector<int> parent(side.faces.size());
  std::iota(parent.begin(), parent.end(), 0);
  const auto root = [&](int f) {
    while (parent[static_cast<std::size_t>(f)] != f) f = parent[static_cast<std::size_t>(f)];
    return f;
  };
  for (std::size_t c = 0; c < side.beside.size(); ++c) {
    const auto [a, b] = side.beside[c];
    if (!side.joint[c] || a < 0 || b < 0) continue;
    const DrawnFace &left = side.faces[static_cast<std::size_t>(a)], &right = side.faces[static_cast<std::size_t>(b)];
    if (left.kind != DrawnFace::Kind::ruled || left.rule != right.rule) continue;
    if (!part_coils || side.rule_of(a)->role != Role::winding) parent[static_cast<std::size_t>(root(a))] = root(b);
  }
  for (std::size_t f = 0; f < parent.size(); ++f) parent[f] = root(static_cast<int>(f));
  return parent;
}

void measure(const DrawnSide& side, DrawnUnit& unit) {
  Point moment;
  for (int f : unit.faces) {
    const DrawnFace& face = side.faces[static_cast<std::size_t>(f)];
    unit.area += face.area;
    moment = moment + face.area * face.centroid;
  }
  unit.centroid = 1 / unit.area * moment;
  unit.r_low = 1e300;
  for (int f : unit.faces)
    for (int entry : side.loops[static_cast<std::size_t>(side.faces[static_cast<std::size_t>(f)].outer)].curves) {
      const SketchCurve c = side.curve(entry < 0 ? -1 - entry : entry);
      const auto [low, high] = radial_range(c);
      unit.r_low = std::min(unit.r_low, low), unit.r_high = std::max(unit.r_high, high);
      for (int i = 0; i < 8; ++i) {
        const double share = i / 8.0;
        const Point p = c.arc ? turned(c.start, share * sweep(c), c.centre) : c.start + share * (c.end - c.start);
        const double angle = angle_between(unit.angle(), std::atan2(p.y, p.x));
        unit.low = std::min(unit.low, angle), unit.high = std::max(unit.high, angle);
      }
    }
}

// The direction in which most of the straight outline runs, joints left out; its normal that points away from the axis.
bool long_side_normal(const DrawnSide& side, const DrawnUnit& unit, double& normal) {
  std::vector<std::pair<double, double>> runs;  // direction mod π, length
  for (int f : unit.faces)
    for (int entry : side.loops[static_cast<std::size_t>(side.faces[static_cast<std::size_t>(f)].outer)].curves) {
      const int index = entry < 0 ? -1 - entry : entry;
      const SketchCurve c = side.curve(index);
      if (c.arc || side.joint[static_cast<std::size_t>(index)]) continue;
      const double direction = std::atan2(c.end.y - c.start.y, c.end.x - c.start.x);
      const auto same = std::find_if(runs.begin(), runs.end(), [&](const auto& run) {
        return std::abs(std::remainder(run.first - direction, pi)) < 1e-4;
      });
      if (same == runs.end())
        runs.push_back({direction, distance(c.start, c.end)});
      else
        same->second += distance(c.start, c.end);
    }
  if (runs.empty()) return false;
  const auto most = std::max_element(runs.begin(), runs.end(),
                                     [](const auto& a, const auto& b) { return a.second < b.second * (1 - 1e-9); });
  normal = most->first + pi / 2;
  if (std::cos(normal - unit.angle()) < 0) normal += pi;
  return true;
}

// Pole 0 is a north pole about side.axis. A part between two poles counts to the one before it.
int pole_of(const DrawnSide& side, double angle) {
  return static_cast<int>(std::lround(angle_between(side.axis, angle) / (2 * pi / side.poles) - 1e-3));
}

int copy_of(const DrawnSide& side, Point p) {
  return static_cast<int>(std::floor((std::atan2(p.y, p.x) - side.first_angle) / side.step() + 1e-9));
}

void magnetise(const DrawnSide& side, DrawnUnit& unit) {
  const AreaRule& rule = side.rules[static_cast<std::size_t>(unit.rule)];
  const int pole = pole_of(side, unit.angle());
  const double sign = (pole % 2 != 0) != rule.reversed ? -1 : 1;
  if (rule.pattern == Magnetisation::Pattern::radial) {
    unit.magnetisation = {Magnetisation::Pattern::radial, 0, sign};
    return;
  }
  double base = unit.angle();
  if (rule.from == AreaRule::From::long_side) long_side_normal(side, unit, base);
  double direction = base + rule.direction + (sign < 0 ? pi : 0);
  if (rule.from == AreaRule::From::x_axis) {
    const int copy = copy_of(side, unit.centroid);
    const bool odd = side.poles / side.copies % 2 != 0 && copy % 2 != 0;
    direction = rule.direction + copy * side.step() + (odd != rule.reversed ? pi : 0);
  }
  unit.magnetisation = {Magnetisation::Pattern::parallel, std::remainder(direction, 2 * pi), 1};
}

struct Slots {
  std::vector<std::vector<int>> units;  // of each slot
  double spread = 0;
};

// `layers` neighbours in angle form a slot; `shift` says where the first begins.
Slots grouped(const DrawnSide& side, const std::vector<int>& order, int layers, int shift) {
  Slots slots;
  const int count = static_cast<int>(order.size());
  for (int first = shift; first < count + shift; first += layers) {
    std::vector<int>& slot = slots.units.emplace_back();
    for (int i = 0; i < layers; ++i) slot.push_back(order[static_cast<std::size_t>((first + i) % count)]);
    for (int u : slot)
      slots.spread += std::abs(angle_between(side.units[static_cast<std::size_t>(slot[0])].angle(),
                                             side.units[static_cast<std::size_t>(u)].angle()));
  }
  return slots;
}

double slot_angle(const DrawnSide& side, const std::vector<int>& slot) {
  const double first = side.units[static_cast<std::size_t>(slot[0])].angle();
  double sum = 0, area = 0;
  for (int u : slot) {
    const DrawnUnit& unit = side.units[static_cast<std::size_t>(u)];
    sum += unit.area * angle_between(first, unit.angle());
    area += unit.area;
  }
  return first + sum / area;
}

// Layer 0 lies at the slot bottom; of two beside each other it is the clockwise one: coils go round their tooth.
void number_layers(DrawnSide& side, std::vector<int>& slot) {
  if (slot.size() != 2) return;
  const auto unit = [&](int i) -> DrawnUnit& {
    return side.units[static_cast<std::size_t>(slot[static_cast<std::size_t>(i)])];
  };
  const double out =
      std::hypot(unit(0).centroid.x, unit(0).centroid.y) - std::hypot(unit(1).centroid.x, unit(1).centroid.y);
  const double deeper = side.outer_side ? out : -out;
  const double across =
      angle_between(unit(1).angle(), unit(0).angle()) * std::hypot(unit(0).centroid.x, unit(0).centroid.y);
  const bool in_order = std::abs(out) > std::abs(across) ? deeper > 0 : across < 0;
  if (!in_order) std::swap(slot[0], slot[1]);
}

}  // namespace

void gather_units(DrawnSide& side, bool part_coils) {
  side.units.clear();
  const std::vector<int> parent = joined_faces(side, part_coils);
  std::map<int, int> unit_of;
  for (std::size_t f = 0; f < side.faces.size(); ++f) {
    const AreaRule* rule = side.rule_of(static_cast<int>(f));
    if (rule == nullptr || !is_unit(rule->role)) continue;
    const auto [it, fresh] = unit_of.insert({parent[f], static_cast<int>(side.units.size())});
    if (fresh) side.units.emplace_back().rule = side.faces[f].rule;
    side.units[static_cast<std::size_t>(it->second)].faces.push_back(static_cast<int>(f));
    side.faces[f].unit = it->second;
  }
  for (DrawnUnit& unit : side.units) {
    measure(side, unit);
    const AreaRule& rule = side.rules[static_cast<std::size_t>(unit.rule)];
    if (rule.role == Role::magnet) magnetise(side, unit);
    if (rule.role != Role::field_winding) continue;
    const int pole = pole_of(side, unit.angle());
    const double hand = angle_between(side.axis + pole * 2 * pi / side.poles, unit.angle()) > 0 ? 1 : -1;
    unit.turns = hand * ((pole % 2 != 0) != rule.reversed ? -1 : 1) * rule.turns;
  }
}

int count_coil_sides(const DrawnSide& side) {
  return static_cast<int>(std::count_if(side.units.begin(), side.units.end(), [&](const DrawnUnit& unit) {
    return side.rules[static_cast<std::size_t>(unit.rule)].role == Role::winding;
  }));
}

void number_slots(DrawnSide& side, int slots, int layers, const Block& block, Faults& faults) {
  std::vector<int> order;
  for (std::size_t u = 0; u < side.units.size(); ++u)
    if (side.rules[static_cast<std::size_t>(side.units[u].rule)].role == Role::winding)
      order.push_back(static_cast<int>(u));
  const int found = static_cast<int>(order.size());
  if (found != slots * layers) {
    faults.push_back(
        {block.values.place("slots"),
         fmt::format("{}.slots = {} with {} layer{} needs {} areas of the role winding, the drawing has {} "
                     "round the axis",
                     block.path, slots, layers, layers == 1 ? "" : "s", slots * layers, found),
         found % slots == 0 && found > 0 ? fmt::format("winding.layers = {}?", found / slots)
                                         : "draw one area for each layer of each slot"});
    return;
  }
  std::sort(order.begin(), order.end(), [&](int a, int b) {
    return side.units[static_cast<std::size_t>(a)].angle() < side.units[static_cast<std::size_t>(b)].angle();
  });
  Slots best = grouped(side, order, layers, 0);
  for (int shift = 1; shift < layers; ++shift)
    if (Slots other = grouped(side, order, layers, shift); other.spread < best.spread - 1e-9) best = std::move(other);
  const double wanted = block.values.has("first_slot") ? block.values.number("first_slot") : side.first_angle;
  // The first slot is the nearest to the stated angle, or the first behind the beginning of the drawn part.
  std::stable_sort(best.units.begin(), best.units.end(), [&](const auto& a, const auto& b) {
    const auto behind = [&](const auto& slot) {
      const double lead = block.values.has("first_slot") ? pi / slots : 1e-6;
      const double angle = std::fmod(slot_angle(side, slot) - wanted + lead, 2 * pi);
      return angle < 0 ? angle + 2 * pi : angle;
    };
    return behind(a) < behind(b);
  });
  for (std::size_t s = 0; s < best.units.size(); ++s) {
    number_layers(side, best.units[s]);
    side.slot_angles.push_back(slot_angle(side, best.units[s]));
    for (std::size_t l = 0; l < best.units[s].size(); ++l) {
      DrawnUnit& unit = side.units[static_cast<std::size_t>(best.units[s][l])];
      unit.slot = static_cast<int>(s);
      unit.layer = static_cast<int>(l);
    }
    const double off =
        angle_between(side.slot_angles[0] + 2 * pi * static_cast<double>(s) / slots, side.slot_angles[s]);
    if (std::abs(off) < 0.02 * 2 * pi / slots) continue;
    faults.push_back({block.values.place("slots"),
                      fmt::format("the slots are not spaced equally: slot {} stands {:.4g} deg off its place", s + 1,
                                  off * 180 / pi),
                      "a winding of the star of slots needs equal pitches; check the areas of the role winding"});
    return;
  }
}

}  // namespace polepitch
