// Which area of the case each face of a drawn side is.
#include <algorithm>
#include <cmath>
#include <deque>
#include <numeric>
#include <set>

#include <fmt/format.h>
#include <fmt/ranges.h>

#include "geometry/drawn_side.h"

namespace polepitch {

namespace {

using Kind = DrawnFace::Kind;

bool in_own_part(const DrawnSide& side, Point p) {
  const double r = std::hypot(p.x, p.y);
  return side.outer_side ? r > side.surface : r < side.surface;
}

// What a rule points at: seeds, and the drawing's points and texts.
bool points_at(const AreaRule& rule, const DxfMark& mark) {
  if (rule.has_seed) return false;
  if (!rule.layer.empty() && !fits_pattern(rule.layer, mark.layer)) return false;
  return rule.text.empty() ? !rule.layer.empty() : !mark.words.empty() && fits_pattern(rule.text, mark.words);
}

struct Pointed {
  int face, rule;
  Point at;
};

std::vector<Pointed> pointed_faces(const DrawnSide& side) {
  std::vector<Pointed> found;
  const auto point = [&](Point at, int rule) {
    for (int k = 0; k < side.copies; ++k) {
      const Point p = turned(at, k * side.step());
      if (const int face = side.face_at(p); face >= 0 && in_own_part(side, p)) found.push_back({face, rule, p});
    }
  };
  for (std::size_t r = 0; r < side.rules.size(); ++r) {
    const AreaRule& rule = side.rules[r];
    if (rule.has_seed) point(rule.seed, static_cast<int>(r));
    for (const DxfMark& mark : side.drawing->marks)
      if (points_at(rule, mark)) point(mark.at, static_cast<int>(r));
  }
  return found;
}

// Returns the rules whose areas points and texts name: their outlines do not count then.
std::set<int> take_pointed(DrawnSide& side, Faults& faults) {
  std::set<int> pointed;
  std::set<std::pair<int, int>> told;
  for (const Pointed& p : pointed_faces(side)) {
    DrawnFace& face = side.faces[static_cast<std::size_t>(p.face)];
    const auto index = static_cast<std::size_t>(p.rule);
    if (face.rule >= 0 && face.rule != p.rule) {
      if (told.insert({face.rule, p.rule}).second)
        faults.push_back({side.rules[index].place,
                          fmt::format("{} means the same area as {}, {}", side.rules[index].path,
                                      side.rules[static_cast<std::size_t>(face.rule)].path, place_words(p.at)),
                          "an area has one role: make layer or text narrower, or close the outline between both"});
      continue;
    }
    face.kind = Kind::ruled;
    face.rule = p.rule;
    pointed.insert(p.rule);
  }
  return pointed;
}

// Faces that hang together when only the lines of a layer count, and how many such lines lie between them and the open:
// an odd number is inside of the layer's outlines, an even one outside or in a hole.
struct LayerParts {
  std::vector<int> group, depth;  // per face
  std::vector<double> area;       // per group
};

struct Neighbour {
  int face;
  bool wall;  // a line of the layer lies between
};

// Of each face, and at the end of the open around the side.
std::vector<std::vector<Neighbour>> neighbours(const DrawnSide& side, const std::string& pattern) {
  const int open = static_cast<int>(side.faces.size()), entities = static_cast<int>(side.drawing->entities.size());
  std::vector<std::vector<Neighbour>> next(side.faces.size() + 1);
  for (std::size_t c = 0; c < side.beside.size(); ++c) {
    const bool wall = !side.joint[c] && std::any_of(side.parts[c].begin(), side.parts[c].end(), [&](int part) {
      return part < entities && fits_pattern(pattern, side.drawing->entities[static_cast<std::size_t>(part)].layer);
    });
    const int a = side.beside[c][0] < 0 ? open : side.beside[c][0],
              b = side.beside[c][1] < 0 ? open : side.beside[c][1];
    next[static_cast<std::size_t>(a)].push_back({b, wall});
    next[static_cast<std::size_t>(b)].push_back({a, wall});
  }
  return next;
}

// Shortest way first: a wall is a step of 1, no wall one of 0.
std::vector<int> depths(const DrawnSide& side, const std::vector<std::vector<Neighbour>>& next) {
  std::vector<int> depth(next.size(), -1);
  std::deque<int> queue = {static_cast<int>(side.faces.size())};
  for (std::size_t f = 0; f < side.faces.size(); ++f)
    if (side.faces[f].kind == Kind::gap) queue.push_back(static_cast<int>(f));
  for (int f : queue) depth[static_cast<std::size_t>(f)] = 0;
  while (!queue.empty()) {
    const auto f = static_cast<std::size_t>(queue.front());
    queue.pop_front();
    for (const auto& [to, wall] : next[f]) {
      int& known = depth[static_cast<std::size_t>(to)];
      if (known >= 0 && known <= depth[f] + (wall ? 1 : 0)) continue;
      known = depth[f] + (wall ? 1 : 0);
      wall ? queue.push_back(to) : queue.push_front(to);
    }
  }
  return depth;
}

LayerParts parts_of_layer(const DrawnSide& side, const std::string& pattern) {
  const std::vector<std::vector<Neighbour>> next = neighbours(side, pattern);
  LayerParts parts{std::vector<int>(next.size(), -1), depths(side, next), {}};
  for (std::size_t first = 0; first < side.faces.size(); ++first) {
    if (parts.group[first] >= 0) continue;
    const int group = static_cast<int>(parts.area.size());
    parts.area.push_back(0);
    std::vector<std::size_t> queue = {first};
    parts.group[first] = group;
    while (!queue.empty()) {
      const std::size_t f = queue.back();
      queue.pop_back();
      if (f < side.faces.size()) parts.area.back() += side.faces[f].area;
      for (const auto& [to, wall] : next[f]) {
        int& own = parts.group[static_cast<std::size_t>(to)];
        if (wall || own >= 0) continue;
        own = group;
        queue.push_back(static_cast<std::size_t>(to));
      }
    }
  }
  return parts;
}

// The innermost outline decides; of equal ones the later table.
void take_layers(DrawnSide& side, const std::set<int>& pointing) {
  std::vector<double> area(side.faces.size(), 1e300);
  for (std::size_t r = 0; r < side.rules.size(); ++r) {
    const AreaRule& rule = side.rules[r];
    if (rule.layer.empty() || !rule.text.empty() || pointing.count(static_cast<int>(r)) > 0) continue;
    const LayerParts parts = parts_of_layer(side, rule.layer);
    for (std::size_t f = 0; f < side.faces.size(); ++f) {
      DrawnFace& face = side.faces[f];
      const double size = parts.area[static_cast<std::size_t>(parts.group[f])];
      const bool pointed = face.kind == Kind::ruled && area[f] == 1e300;
      if (face.kind == Kind::gap || pointed || parts.depth[f] % 2 == 0 || size > area[f] * (1 + 1e-9)) continue;
      face.kind = Kind::ruled;
      face.rule = static_cast<int>(r);
      area[f] = size;
    }
  }
}

// Before any rule: faces beside the circle in the gap.
void take_gap(DrawnSide& side) {
  const int helper = static_cast<int>(side.drawing->entities.size());
  for (std::size_t c = 0; c < side.beside.size(); ++c)
    if (side.network.part[c] == helper)
      for (int f : side.beside[c])
        if (f >= 0) side.faces[static_cast<std::size_t>(f)].kind = Kind::gap;
}

void take_shaft(DrawnSide& side) {
  if (side.outer_side) return;
  // Around the axis, on it, or all faces that meet at it.
  for (DrawnFace& face : side.faces) {
    if (face.kind != Kind::unknown) continue;
    const Loop& outer = side.loops[static_cast<std::size_t>(face.outer)];
    bool at_axis = encloses(side.network, outer, {0, 0});
    for (int entry : outer.curves) {
      const SketchCurve c = side.curve(entry < 0 ? -1 - entry : entry);
      at_axis = at_axis || std::hypot(c.start.x, c.start.y) <= side.snap || std::hypot(c.end.x, c.end.y) <= side.snap;
    }
    bool around = at_axis;
    for (int hole : face.holes)
      around = around && !encloses(side.network, side.loops[static_cast<std::size_t>(hole)], {0, 0});
    if (around) face.kind = Kind::shaft;
  }
}

void throw_unknown(const DrawnSide& side) {
  std::vector<DrawingFault> faults;
  std::set<std::pair<long long, long long>> told;
  for (const DrawnFace& face : side.faces) {
    if (face.kind != Kind::unknown) continue;
    const double angle = std::atan2(face.inner.y, face.inner.x) - side.first_angle;
    const Point at = turned(face.inner, -side.step() * std::floor(angle / side.step() + 1e-9));
    if (!told.insert({std::llround(std::hypot(at.x, at.y) * 1e7), std::llround(face.area * 1e12)}).second &&
        side.copies > 1)
      continue;
    int part = -1;
    for (int entry : side.loops[static_cast<std::size_t>(face.outer)].curves) {
      const int p = side.network.part[static_cast<std::size_t>(entry < 0 ? -1 - entry : entry)];
      if (p < static_cast<int>(side.drawing->entities.size())) part = std::max(part, p);
    }
    faults.push_back(
        drawing_fault(*side.drawing, DrawingFault::Kind::no_role, part, at,
                      fmt::format("bounds an area of {:.4g} mm2 that no [[{}.area]] means", face.area * 1e6,
                                  side.side == Side::stator ? "stator" : "rotor"),
                      fmt::format("say what it is: a table with at = [\"{:.4g} mm\", \"{:.4g} mm\"], or with its layer",
                                  at.x * 1e3, at.y * 1e3)));
  }
  if (!faults.empty()) throw DrawingError(*side.drawing, std::move(faults));
}

// A line whose layer should enclose areas, but that has none of them on either side: its outline is not closed there.
void throw_unclosed(const DrawnSide& side, const std::set<int>& pointing) {
  std::vector<DrawingFault> faults;
  std::set<int> told;
  const int entities = static_cast<int>(side.drawing->entities.size());
  for (std::size_t c = 0; c < side.beside.size(); ++c) {
    if (side.joint[c]) continue;
    for (int part : side.parts[c]) {
      if (part >= entities) continue;
      bool meant = false, met = false;
      for (std::size_t r = 0; r < side.rules.size(); ++r) {
        const AreaRule& rule = side.rules[r];
        const bool outlines = !rule.layer.empty() && rule.text.empty() && pointing.count(static_cast<int>(r)) == 0;
        if (!outlines || !fits_pattern(rule.layer, side.drawing->entities[static_cast<std::size_t>(part)].layer))
          continue;
        meant = true;
        for (int f : side.beside[c])
          met = met || (f >= 0 && side.faces[static_cast<std::size_t>(f)].rule == static_cast<int>(r));
      }
      if (!meant || met || !told.insert(part).second) continue;
      Point at = middle(side.curve(static_cast<int>(c)));
      const double angle = std::atan2(at.y, at.x) - side.first_angle;
      at = turned(at, -side.step() * std::floor(angle / side.step() + 1e-9));
      faults.push_back(
          drawing_fault(*side.drawing, DrawingFault::Kind::no_role, part, at,
                        "encloses nothing: its layer has no closed outline here,",
                        "close the outline on this layer, or put a point or a text of the layer into the area"));
    }
  }
  if (!faults.empty()) throw DrawingError(*side.drawing, std::move(faults));
}

void check_rules_used(const DrawnSide& side, Faults& faults) {
  std::set<int> used;
  std::set<std::string> layers, words;
  for (const DrawnFace& face : side.faces) used.insert(face.rule);
  for (const DxfEntity& entity : side.drawing->entities) layers.insert(entity.layer);
  for (const DxfMark& mark : side.drawing->marks) {
    layers.insert(mark.layer);
    if (!mark.words.empty()) words.insert(mark.words);
  }
  for (std::size_t r = 0; r < side.rules.size(); ++r) {
    if (used.count(static_cast<int>(r)) > 0) continue;
    const AreaRule& rule = side.rules[r];
    if (rule.has_seed) {
      faults.push_back({rule.place,
                        fmt::format("{}.at {} lies in no area of this side", rule.path, place_words(rule.seed)),
                        "coordinates are those of the drawing; the machine's axis is its origin"});
      continue;
    }
    const bool text = !rule.text.empty();
    const std::vector<std::string> names(text ? words.begin() : layers.begin(), text ? words.end() : layers.end());
    const std::string near = nearest_name(text ? rule.text : rule.layer, names);
    std::vector<std::string> some(names.begin(),
                                  names.begin() + static_cast<std::ptrdiff_t>(std::min<std::size_t>(names.size(), 12)));
    faults.push_back({rule.place,
                      fmt::format("{}: no area of this side has the {} \"{}\"", rule.path, text ? "text" : "layer",
                                  text ? rule.text : rule.layer),
                      near.empty() || near == (text ? rule.text : rule.layer)
                          ? fmt::format("{} in the drawing: {}; outlines must be closed, or hold a point or text",
                                        text ? "texts" : "layers", fmt::join(some, ", "))
                          : fmt::format("did you mean \"{}\"?", near)});
  }
}

}  // namespace

void assign_roles(DrawnSide& side, Faults& faults) {
  take_gap(side);
  const std::set<int> pointing = take_pointed(side, faults);
  take_layers(side, pointing);
  take_shaft(side);
  if (faults.empty()) check_rules_used(side, faults);
  if (!faults.empty()) return;
  throw_unknown(side);
  throw_unclosed(side, pointing);
}

}  // namespace polepitch
