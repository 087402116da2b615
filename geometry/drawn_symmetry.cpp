// In how many equal sectors a drawn side repeats, found by turning it onto itself.
#include <algorithm>
#include <cmath>
#include <numbers>
#include <numeric>

#include <fmt/format.h>

#include "geometry/drawn_side.h"
#include "geometry/pole_parts.h"

namespace polepitch {

namespace {

constexpr double pi = std::numbers::pi;

// Curves by the distances from the axis that they reach, to find those that can hold a point.
struct ByRadius {
  std::vector<std::array<double, 2>> range;
  const DrawnSide& side;

  explicit ByRadius(const DrawnSide& drawn_side) : side(drawn_side) {
    for (std::size_t i = 0; i < side.network.curves.size(); ++i)
      range.push_back(radial_range(side.curve(static_cast<int>(i))));
  }
  bool on_a_curve(Point p, double tolerance) const {
    const double r = std::hypot(p.x, p.y);
    for (std::size_t i = 0; i < range.size(); ++i) {
      if (r < range[i][0] - tolerance || r > range[i][1] + tolerance || side.joint[i]) continue;
      if (distance_to(side.curve(static_cast<int>(i)), p) <= tolerance) return true;
    }
    return false;
  }
};

bool curves_repeat(const DrawnSide& side, double angle, double tolerance, DrawnWitness* witness) {
  const ByRadius all(side);
  const double margin = 1e-9;
  for (std::size_t i = 0; i < side.network.curves.size(); ++i) {
    const SketchCurve c = side.curve(static_cast<int>(i));
    if (side.joint[i]) continue;
    // What the copies repeat needs to be looked at once.
    const Point m = middle(c);
    double own = std::fmod(std::atan2(m.y, m.x) - side.first_angle, 2 * pi);
    own = own < 0 ? own + 2 * pi : own;
    if (own > side.step() + margin) continue;
    for (double share : {0.2, 0.5, 0.8}) {
      const Point p = c.arc ? turned(c.start, share * sweep(c), c.centre) : c.start + share * (c.end - c.start);
      if (all.on_a_curve(turned(p, angle), tolerance)) continue;
      if (witness != nullptr) *witness = {side.network.part[i], p};
      return false;
    }
  }
  return true;
}

// Sign by which a unit's source goes over into its partner's: 0 where neither has one, 2 where they do not fit.
int source_sign(const DrawnUnit& a, const DrawnUnit& b, double angle) {
  using Pattern = Magnetisation::Pattern;
  if (a.magnetisation.pattern != b.magnetisation.pattern) return 2;
  if (a.magnetisation.pattern == Pattern::radial) return a.magnetisation.sign * b.magnetisation.sign > 0 ? 1 : -1;
  if (a.magnetisation.pattern == Pattern::parallel) {
    const double off = angle_between(a.magnetisation.direction + angle, b.magnetisation.direction);
    return std::abs(off) < 1e-6 ? 1 : std::abs(std::abs(off) - pi) < 1e-6 ? -1 : 2;
  }
  if (a.turns == 0 && b.turns == 0) return 0;
  return a.turns == b.turns ? 1 : a.turns == -b.turns ? -1 : 2;
}

bool faces_repeat(const DrawnSide& side, double angle, double tolerance, int& sign, DrawnWitness* witness) {
  sign = 0;
  const auto refuse = [&](Point at) {
    if (witness != nullptr) *witness = {-1, at};
    return false;
  };
  for (const DrawnUnit& unit : side.units) {
    const Point p = turned(unit.centroid, angle);
    const auto partner = std::find_if(side.units.begin(), side.units.end(), [&](const DrawnUnit& other) {
      return other.rule == unit.rule && distance(other.centroid, p) <= tolerance;
    });
    if (partner == side.units.end()) return refuse(unit.centroid);
    const int own = source_sign(unit, *partner, angle);
    if (own == 2 || (own != 0 && sign != 0 && own != sign)) return refuse(unit.centroid);
    if (own != 0) sign = own;
  }
  for (const DrawnFace& face : side.faces) {
    const int there = side.face_at(turned(face.inner, angle));
    if (there < 0 || side.faces[static_cast<std::size_t>(there)].rule != face.rule) return refuse(face.inner);
  }
  return true;
}

}  // namespace

bool repeats(const DrawnSide& side, int n, int& sign, DrawnWitness* witness) {
  const double angle = 2 * pi / n, tolerance = 10 * side.snap;
  return faces_repeat(side, angle, tolerance, sign, witness) && curves_repeat(side, angle, tolerance, witness);
}

Symmetry drawn_symmetry(const DrawnSide& side, const Block& block) {
  int sign = 0;
  if (block.values.has("symmetry")) {
    const int stated = block.values.integer("symmetry");
    DrawnWitness witness;
    if (repeats(side, stated, sign, &witness)) return {stated, sign};
    int part = witness.part < static_cast<int>(side.drawing->entities.size()) ? witness.part : -1;
    throw DrawingError(
        *side.drawing,
        {drawing_fault(*side.drawing, DrawingFault::Kind::no_symmetry, part, witness.at,
                       fmt::format("breaks the symmetry of {} sectors that [{}] states: turned by {:.6g} deg it meets "
                                   "nothing like it,",
                                   stated, block.path, 360.0 / stated),
                       fmt::format("correct the drawing, or leave {}.symmetry out: it is then found", block.path))});
  }
  // The sides can only share sectors of whole poles or slots: try the divisors of what is there.
  int most = side.poles;
  if (!side.slot_angles.empty()) most = static_cast<int>(side.slot_angles.size());
  int bars = 0;
  for (const DrawnUnit& unit : side.units) {
    const AreaRule& rule = side.rules[static_cast<std::size_t>(unit.rule)];
    bars += rule.role == Role::bar && !rule.damper ? 1 : 0;
  }
  if (bars > 0) most = bars;
  for (int n = std::lcm(most, side.copies); n > 1; --n)
    if ((most % n == 0 || n == side.copies) && repeats(side, n, sign)) return {n, sign};
  return {1, 1};
}

}  // namespace polepitch
