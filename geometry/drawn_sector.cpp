// One sector of a drawn side, in its place: curves cut at the two edges, regions with what they are.
#include <algorithm>
#include <cmath>
#include <map>
#include <numbers>

#include <fmt/format.h>

#include "geometry/drawn_side.h"
#include "geometry/winding_regions.h"

namespace polepitch {

namespace {

constexpr double pi = std::numbers::pi;
using Kind = DrawnFace::Kind;

// The same part on both sides of a joint between copies needs no line there.
bool needless(const DrawnSide& side, std::size_t c) {
  if (!side.joint[c]) return false;
  const auto [a, b] = side.beside[c];
  if (a < 0 || b < 0) return true;
  const DrawnFace &left = side.faces[static_cast<std::size_t>(a)], &right = side.faces[static_cast<std::size_t>(b)];
  return left.kind == right.kind && left.rule == right.rule && left.unit == right.unit;
}

struct Sector {
  double start = 0, angle = 0, snap = 0;
  bool closed = false;
  std::vector<double> edge_radii;  // of the points on the first edge, which the last edge repeats

  double from_start(Point p) const {
    const double a = std::fmod(std::atan2(p.y, p.x) - start, 2 * pi);
    return a < -1e-12 ? a + 2 * pi : a;
  }
};

Point on_edge(Sector& sector, double angle, Point p) {
  const double r = std::hypot(p.x, p.y);
  double best = 2 * sector.snap, found = r;
  for (double known : sector.edge_radii)
    if (std::abs(known - r) <= best) best = std::abs(known - r), found = known;
  if (found == r) sector.edge_radii.push_back(r);
  return polar(found, angle);
}

// An end so near to an edge that it is meant to lie on it.
Point pulled(Sector& sector, Point p) {
  const double r = std::hypot(p.x, p.y);
  if (r <= sector.snap) return {0, 0};
  for (double angle : {sector.start, sector.start + sector.angle}) {
    const double off = std::remainder(std::atan2(p.y, p.x) - angle, 2 * pi);
    if (std::abs(off) < 1 && r * std::abs(std::sin(off)) <= 2 * sector.snap) return on_edge(sector, angle, p);
  }
  return p;
}

void keep_angle(SketchCurve& c, double angle) {
  if (!c.arc || std::abs(distance(c.start, c.centre) - distance(c.end, c.centre)) < 1e-12) return;
  const Point chord = c.end - c.start;
  c.centre = 0.5 * (c.start + c.end) + 0.5 / std::tan(angle / 2) * Point{-chord.y, chord.x};
}

void add_pieces(Sketch& sketch, Sector& sector, const SketchCurve& c, double reach, int part) {
  std::vector<std::pair<double, Point>> cuts;
  for (double angle : {sector.start, sector.start + sector.angle}) {
    const SketchCurve ray{{0, 0}, polar(2 * reach, angle), false, {}, true, 0};
    for (Point p : meetings(c, ray, 1e-12))
      if (distance(p, c.start) > 2 * sector.snap && distance(p, c.end) > 2 * sector.snap)
        cuts.push_back({along(c, p), on_edge(sector, angle, p)});
  }
  std::sort(cuts.begin(), cuts.end(), [](const auto& a, const auto& b) { return a.first < b.first; });
  Point from = pulled(sector, c.start);
  cuts.push_back({0, pulled(sector, c.end)});
  for (const auto& [position, to] : cuts) {
    SketchCurve piece = c;
    piece.start = from, piece.end = to, piece.part = part;
    from = to;
    if (distance(piece.start, piece.end) < 1e-12) continue;
    const double angle = sweep(piece);
    if (c.arc && (std::abs(angle) > 0.75 * pi)) continue;  // an end that was pulled past the other: nothing is left
    keep_angle(piece, angle);
    const double at = sector.from_start(middle(piece)), r = std::hypot(middle(piece).x, middle(piece).y);
    const double slack = 1e-9 / std::max(r, 1e-6);  // what was pulled lies on the edge exactly
    if (at > slack && at < sector.angle - slack) sketch.curves.push_back(piece);
  }
}

// Radius of the circle about the axis that a face's outline is; 0 when it is none.
double circle_of(const DrawnSide& side, const std::vector<int>& loop) {
  double radius = 0;
  for (int entry : loop) {
    const SketchCurve c = side.curve(entry < 0 ? -1 - entry : entry);
    if (!c.arc || std::hypot(c.centre.x, c.centre.y) > 1e-12) return 0;
    radius = std::hypot(c.start.x, c.start.y);
  }
  return radius;
}

// The outer loop of the whole side: its radius where it is a circle.
double outer_circle(const DrawnSide& side) {
  double radius = 0;
  for (std::size_t c = 0; c < side.beside.size(); ++c) {
    if (side.beside[c][0] >= 0 && side.beside[c][1] >= 0) continue;
    const double own = circle_of(side, {static_cast<int>(c)});
    if (own == 0 || (radius > 0 && std::abs(own - radius) > 1e-12)) return 0;
    radius = own;
  }
  return radius;
}

// Roles in the order in which names are counted.
std::string role_name(const AreaRule& rule, Side side) {
  switch (rule.role) {
    case Role::core:
    case Role::layer:
      return side == Side::stator ? "stator core" : "rotor core";
    case Role::winding:
      return "winding";
    case Role::field_winding:
      return "field coil side";
    case Role::bar:
      return rule.damper ? "damper bar" : "bar";
    case Role::magnet:
      return "magnet";
    case Role::air:
      return side == Side::stator ? "stator air space" : "rotor air space";
    case Role::wedge:
      return "wedge";
    case Role::insulation:
      return "insulation";
    case Role::sleeve:
      return "sleeve";
    case Role::shaft:
      return "shaft";
  }
  return "";
}

struct Labeller {
  const Plan& plan;
  const DrawnSide& side;
  double turn;
  SideDrawing& drawing;
  std::map<std::string, int> counted;
  int field = -1;

  std::string counted_name(const std::string& name) {
    const int number = ++counted[name];
    const bool single = name.find("core") != std::string::npos || name == "shaft" || name == "sleeve";
    return single && number == 1 ? name : fmt::format("{} {}", name, number);
  }

  int field_branch() {
    if (field < 0) {
      field = static_cast<int>(drawing.branches.size());
      drawing.branches.push_back({"field", BranchKind::field, 0});
    }
    return field;
  }

  Region ruled(const AreaRule& rule, const DrawnUnit* unit) {
    const auto sector_slot = [&] { return unit->slot; };
    if (rule.role == Role::winding && unit != nullptr && unit->slot >= 0) {
      Region region = coil_side_region(plan, drawing, sector_slot(), unit->layer);
      if (region.role == Role::winding) region.material = rule.material;
      return region;
    }
    const Role role = rule.role == Role::winding ? Role::air : rule.role;
    Region region = make_region(drawing, role, counted_name(role_name(rule, side.side)), rule.material);
    if (unit == nullptr) return region;
    const double pole = angle_between(side.axis, unit->angle()) / (2 * pi / side.poles);
    region.slot = static_cast<int>(std::lround(pole - 1e-3));
    if (rule.role == Role::magnet) {
      region.magnetisation = unit->magnetisation;
      if (region.magnetisation.pattern == Magnetisation::Pattern::parallel) region.magnetisation.direction += turn;
    }
    if (rule.role == Role::field_winding) {
      region.branch = field_branch();
      region.turns = unit->turns / plan.machine->rotor.values.integer("field_parallel_paths");
    }
    if (rule.role == Role::bar) {
      region.branch = static_cast<int>(drawing.branches.size());
      region.turns = 1;
      if (!rule.damper) region.slot = region.branch;  // of a damper bar its pole: what its ring joins
      drawing.branches.push_back(
          {region.name, rule.damper ? BranchKind::damper : BranchKind::bar, unit->angle() + turn});
    }
    return region;
  }

  void add(const Point inner) {
    const bool stator = side.side == Side::stator;
    const int index = side.face_at(turned(inner, -turn));
    const double r = std::hypot(inner.x, inner.y);
    const bool gap = side.outer_side ? r < side.surface : r > side.surface;
    const Region gap_air =
        make_region(drawing, Role::air, stator ? "air gap, stator side" : "air gap, rotor side", "air");
    if (gap) return add_label(drawing.sketch, gap_air, inner);
    if (index < 0)
      return add_label(
          drawing.sketch,
          make_region(drawing, Role::air, fmt::format("air around the {} core", stator ? "stator" : "rotor"), "air"),
          inner);
    const DrawnFace& face = side.faces[static_cast<std::size_t>(index)];
    const Values& general = plan.machine->general.values;
    if (face.kind == Kind::gap) return add_label(drawing.sketch, gap_air, inner);
    if (face.kind == Kind::shaft) {
      const std::string& shaft = general.text("shaft");
      if (shaft == "hollow") return add_empty_label(drawing.sketch, "hollow shaft", inner);
      return add_label(
          drawing.sketch,
          make_region(drawing, Role::shaft, "shaft", shaft == "meshed" ? general.text("shaft_material") : "air"),
          inner);
    }
    const DrawnUnit* unit = face.unit >= 0 ? &side.units[static_cast<std::size_t>(face.unit)] : nullptr;
    add_label(drawing.sketch, ruled(side.rules[static_cast<std::size_t>(face.rule)], unit), inner);
  }
};

// Inner points of the faces of the sector, in the order of their angles, so that names and branches count round it.
std::vector<Point> face_points(const Sketch& sketch, const Sector& sector) {
  const Network network = connect(sketch, 1e-9);
  const std::vector<Loop> loops = trace_loops(network);
  std::vector<DrawnFace> faces;
  std::vector<int> face_of(loops.size(), -1);
  for (std::size_t l = 0; l < loops.size(); ++l)
    if (loops[l].area > 0) {
      face_of[l] = static_cast<int>(faces.size());
      faces.emplace_back().outer = static_cast<int>(l);
    }
  for (std::size_t l = 0; l < loops.size(); ++l) {
    if (loops[l].area > 0) continue;
    if (const int host = host_of(network, loops, loops[l]); host >= 0)
      faces[static_cast<std::size_t>(face_of[static_cast<std::size_t>(host)])].holes.push_back(static_cast<int>(l));
  }
  std::vector<Point> points;
  for (DrawnFace& face : faces) {
    Point sum;
    const std::vector<int>& outer = loops[static_cast<std::size_t>(face.outer)].curves;
    for (int entry : outer)
      sum = sum + 1.0 / static_cast<double>(outer.size()) * middle(drawn(network, entry < 0 ? -1 - entry : entry));
    face.centroid = sum;
    points.push_back(inner_point(network, loops, face));
  }
  std::stable_sort(points.begin(), points.end(),
                   [&](Point a, Point b) { return sector.from_start(a) < sector.from_start(b); });
  return points;
}

// Where the mesh of the inner side ends inside: 0 at the axis.
double hollow_radius(const Plan& plan, const DrawnSide& side) {
  if (side.outer_side || plan.machine->general.values.text("shaft") != "hollow") return 0;
  double radius = 0;
  for (const DrawnFace& face : side.faces) {
    if (face.kind != Kind::shaft) continue;
    for (int entry : side.loops[static_cast<std::size_t>(face.outer)].curves) {
      const std::size_t c = static_cast<std::size_t>(entry < 0 ? -1 - entry : entry);
      if (side.joint[c]) continue;
      const double own = circle_of(side, {entry});
      if (own == 0 || (radius > 0 && std::abs(own - radius) > 1e-12))
        throw GeometryError(
            fmt::format("the hole of the drawn {} is no circle about the axis, so no flux line can bound it",
                        side.side == Side::stator ? "stator" : "rotor"),
            "set machine.shaft = \"meshed\" or \"non-magnetic\"", side.rules.empty() ? Place{} : side.rules[0].place);
      radius = own;
    }
  }
  return radius;
}

}  // namespace

bool free_edge(const DrawnSide& side, double wanted, double& angle) {
  std::vector<std::pair<double, double>> taken;  // from `wanted`, in [0, 2π) and beyond
  for (const DrawnUnit& unit : side.units) {
    if (side.rules[static_cast<std::size_t>(unit.rule)].role == Role::magnet) continue;
    double low = std::fmod(unit.angle() + unit.low - wanted, 2 * pi);
    if (low < 0) low += 2 * pi;
    taken.push_back({low, low + unit.high - unit.low});
  }
  angle = wanted;
  if (taken.empty()) return true;
  std::sort(taken.begin(), taken.end());
  std::vector<std::pair<double, double>> gaps;
  double reach = taken.front().first;
  for (const auto& [low, high] : taken) {
    if (low > reach - 1e-7) gaps.push_back({reach, low});
    reach = std::max(reach, high);
  }
  if (taken.front().first + 2 * pi > reach - 1e-7) gaps.push_back({reach, taken.front().first + 2 * pi});
  if (gaps.empty()) return false;
  double best = 1e300;
  for (const auto& [low, high] : gaps) {
    const double margin = 0.02 * (high - low);
    for (double turn : {0.0, 2 * pi, -2 * pi}) {
      const double middle = (low + high) / 2 + turn;
      if (low + turn + margin < 0 && high + turn - margin > 0) {
        angle = wanted;
        return true;
      }
      if (std::abs(middle) < best) best = std::abs(middle), angle = wanted + middle;
    }
  }
  return true;
}

void draw_sector(const Plan& plan, const DrawnSide& side, double turn, SideDrawing& drawing) {
  Sector sector{drawing.start_angle, drawing.sector_angle, side.snap, drawing.closed, {}};
  const double reach = side.largest_radius();
  const bool stator = side.side == Side::stator;
  const int helper = static_cast<int>(side.drawing->entities.size());
  for (const std::string& part : side.drawing->sketch.parts) add_part(drawing.sketch, part);
  const double circle = side.outer_side ? outer_circle(side) : 0;
  drawing.far_radius = !side.outer_side ? hollow_radius(plan, side) : circle > 0 ? circle : 1.05 * reach;
  for (std::size_t i = 0; i < side.network.curves.size(); ++i) {
    if (side.network.part[i] == helper || needless(side, i)) continue;
    SketchCurve c = side.curve(static_cast<int>(i));
    if (!side.outer_side && radial_range(c)[1] < drawing.far_radius - 1e-12) continue;
    c.start = turned(c.start, turn), c.end = turned(c.end, turn), c.centre = turned(c.centre, turn);
    if (drawing.closed)
      drawing.sketch.curves.push_back(c);
    else
      add_pieces(drawing.sketch, sector, c, reach, c.part);
  }
  add_ring(drawing, drawing.gap_radius, stator ? "gap circle of the stator" : "gap circle of the rotor");
  if (side.outer_side && circle == 0) add_ring(drawing, drawing.far_radius, "circle around the machine");
  add_edges(drawing, std::min(drawing.gap_radius, drawing.far_radius),
            std::max(drawing.gap_radius, drawing.far_radius));
  Labeller labeller{plan, side, turn, drawing, {}, -1};
  for (const AreaRule& rule : side.rules)
    if (rule.role == Role::field_winding) labeller.field_branch();  // before the bars
  for (Point inner : face_points(drawing.sketch, sector)) {
    // A closed outer side's disc inside the gap circle has its label already.
    if (side.outer_side && std::hypot(inner.x, inner.y) < drawing.gap_radius) continue;
    labeller.add(inner);
  }
  add_drawn_gauges(plan, side, turn, drawing);
}

}  // namespace polepitch
