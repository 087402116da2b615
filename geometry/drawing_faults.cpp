#include "geometry/drawing_faults.h"

#include <algorithm>
#include <cmath>
#include <set>

#include <fmt/format.h>

namespace polepitch {

namespace {

using FaultKind = DrawingFault::Kind;

struct LooseEnd {
  Point at;
  int part = 0;
  bool told = false;
};

std::vector<LooseEnd> loose_ends(const Network& network) {
  std::vector<int> uses(network.points.size()), part(network.points.size());
  for (std::size_t i = 0; i < network.curves.size(); ++i)
    for (int p : {network.curves[i].start, network.curves[i].end}) {
      ++uses[static_cast<std::size_t>(p)];
      part[static_cast<std::size_t>(p)] = network.part[i];
    }
  std::vector<LooseEnd> ends;
  for (std::size_t p = 0; p < uses.size(); ++p)
    if (uses[p] == 1) ends.push_back({network.points[p], part[p]});
  return ends;
}

void add_loose_ends(std::vector<DrawingFault>& faults, const DxfDrawing& drawing, const Network& network, double snap) {
  std::vector<LooseEnd> ends = loose_ends(network);
  for (LooseEnd& end : ends) {
    if (end.told) continue;
    LooseEnd* nearest = nullptr;
    for (LooseEnd& other : ends)
      if (&other != &end && !other.told && distance(end.at, other.at) <= 200 * snap &&
          (nearest == nullptr || distance(end.at, other.at) < distance(end.at, nearest->at)))
        nearest = &other;
    if (nearest == nullptr) {
      faults.push_back(drawing_fault(drawing, FaultKind::open_end, end.part, end.at, "ends in the open",
                                     "every outline must be closed: join it to its neighbour, or remove it"));
      continue;
    }
    nearest->told = true;
    faults.push_back(
        drawing_fault(drawing, FaultKind::gap, end.part, end.at,
                      fmt::format("leaves a gap of {:.4g} mm to the {} of line {}", distance(end.at, nearest->at) * 1e3,
                                  drawing.entities[static_cast<std::size_t>(nearest->part)].type,
                                  drawing.entities[static_cast<std::size_t>(nearest->part)].line),
                      fmt::format("join them in the drawing; ends within {:.3g} mm count as one", snap * 1e3)));
    faults.back().other = nearest->part;
  }
}

void add_pairs(std::vector<DrawingFault>& faults, const DxfDrawing& drawing, const std::vector<CurvePair>& pairs,
               FaultKind kind) {
  std::set<std::pair<int, int>> told;  // curves in pieces meet more than once
  for (const CurvePair& pair : pairs) {
    const int part = std::max(pair.first, pair.second), other = std::min(pair.first, pair.second);
    if (kind == FaultKind::drawn_twice && !told.insert({other, part}).second) continue;
    const DxfEntity& entity = drawing.entities[static_cast<std::size_t>(other)];
    faults.push_back(
        drawing_fault(drawing, kind, part, pair.at,
                      fmt::format("{} the {} of line {}", kind == FaultKind::crossing ? "crosses" : "lies on",
                                  entity.type, entity.line),
                      kind == FaultKind::crossing ? "end both where they meet" : "remove one of the two"));
    faults.back().other = other;
  }
}

std::vector<Diagnostic> diagnostics_of(const std::vector<DrawingFault>& faults) {
  std::vector<Diagnostic> list;
  for (const DrawingFault& fault : faults) list.push_back(fault.diagnostic);
  return list;
}

}  // namespace

DrawingError::DrawingError(const DxfDrawing& drawn, std::vector<DrawingFault> found)
    : Error(ExitCode::geometry, diagnostics_of(found)),
      drawing(std::make_shared<DxfDrawing>(drawn)),
      faults(std::move(found)) {}

std::string place_words(Point p) {
  return fmt::format("near ({:.4f}, {:.4f}) mm", p.x * 1e3, p.y * 1e3);
}

DrawingFault drawing_fault(const DxfDrawing& drawing, FaultKind kind, int part, Point at, const std::string& words,
                           const std::string& hint) {
  DrawingFault fault;
  fault.kind = kind;
  fault.at = at;
  fault.part = part;
  fault.diagnostic.place.file = drawing.path;
  fault.diagnostic.message = fmt::format("{} {}", words, place_words(at));
  fault.diagnostic.hint = hint;
  if (part >= 0) {
    const DxfEntity& entity = drawing.entities[static_cast<std::size_t>(part)];
    fault.diagnostic.place.line = entity.line;
    fault.diagnostic.message = fmt::format("{} on layer {} ", entity.type, entity.layer) + fault.diagnostic.message;
  }
  return fault;
}

std::vector<DrawingFault> drawing_faults(const DxfDrawing& drawing, double snap) {
  std::vector<DrawingFault> faults;
  std::vector<CurvePair> doubles;
  const Network network = join(drawing.sketch, snap, &doubles);
  add_loose_ends(faults, drawing, network, snap);
  add_pairs(faults, drawing, crossings(network, snap), FaultKind::crossing);
  add_pairs(faults, drawing, doubles, FaultKind::drawn_twice);
  std::stable_sort(faults.begin(), faults.end(), [](const DrawingFault& a, const DrawingFault& b) {
    return a.diagnostic.place.line < b.diagnostic.place.line;
  });
  return faults;
}

}  // namespace polepitch
