// Which lines of a drawing belong to a side, and whether they reach the gap surface that the case states.
#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "geometry/drawn_side.h"

namespace polepitch {
namespace {

bool wanted_layer(const Block& block, const std::string& layer) {
  if (!block.values.has("layers")) return true;
  const auto& names = block.values.texts("layers");
  return std::any_of(names.begin(), names.end(), [&](const auto& name) { return fits_pattern(name, layer); });
}

template <class Visit>
void each_wanted_curve(const DrawnSide& side, const Block& block, Visit visit) {
  for (const SketchCurve& c : side.drawing->sketch.curves)
    if (wanted_layer(block, side.drawing->entities[static_cast<std::size_t>(c.part)].layer)) visit(c);
}

/// Lines along a radius may run over the gap: the edge of a sector. Others say that the gap is not there.
bool runs_across(const DrawnSide& side, const SketchCurve& c, double radius) {
  const auto [low, high] = radial_range(c);
  const bool radial = !c.arc && std::abs(cross(c.start, c.end)) <= 4 * side.snap * high;
  return low < radius - 2 * side.snap && high > radius + 2 * side.snap && !radial;
}

/// How far lines reach that lie past the stated surface, short of the other side's [m]; of a stator, whose other side
/// is not known, the nearest ones past it. 0: none.
double reach_past(const DrawnSide& side, const Block& block) {
  double farthest = 0, nearest = 0;
  each_wanted_curve(side, block, [&](const SketchCurve& c) {
    const auto [low, high] = radial_range(c);
    const double tip = side.outer_side ? low : high, root = side.outer_side ? high : low;
    const double sense = side.outer_side ? -1 : 1;  // from the side's depth towards the gap
    if (sense * (tip - side.surface) <= side.snap) return;
    const bool short_of_other = side.other_surface > 0 && sense * (side.other_surface - tip) > 2 * side.snap;
    if (short_of_other && (farthest == 0 || sense * (tip - farthest) > 0)) farthest = tip;
    const bool past = sense * (root - side.surface) > side.snap;
    if (past && (nearest == 0 || sense * (nearest - root) > 0)) nearest = root;
  });
  return side.other_surface > 0 ? farthest : nearest;
}

std::string stated(const DrawnSide& side, double radius) {
  if (side.other_surface > 0) return millimetres(std::abs(side.other_surface - radius));
  return fmt::format("{} = \"{}\"", surface_key(side), millimetres(2 * radius));
}

/// Then the bore itself is not where the case puts it, and no gap can be told from it.
bool runs_across_other(const DrawnSide& side, const Block& block) {
  bool across = false;
  if (side.other_surface > 0)
    each_wanted_curve(side, block, [&](const SketchCurve& c) { across |= runs_across(side, c, side.other_surface); });
  return across;
}

/// `found` [m]: where the lines end that were taken for this side; 0: it is not to be named.
std::string reach_hint(const DrawnSide& side, const Block& block, double found) {
  const char* const origin = "the machine's axis is its origin";
  const double past = reach_past(side, block);
  if (runs_across_other(side, block) || (found == 0 && (past == 0 || side.other_surface == 0)))
    return fmt::format("the surface at the gap is that of the drawing; {}", origin);
  if (side.other_surface > 0)
    return fmt::format("{} is the gap of the drawing; {}", stated(side, past > 0 ? past : found), origin);
  const std::string own = fmt::format("{} is that of the drawing", stated(side, found));
  if (past == 0) return fmt::format("{}; {}", own, origin);
  return fmt::format("{}, or {} where its next lines belong to the {} too; {}", own, stated(side, past), block.path,
                     origin);
}

}  // namespace

Sketch own_curves(const DrawnSide& side, const Block& block, Faults& faults) {
  Sketch sketch;
  const std::string key = surface_key(side);
  sketch.parts = side.drawing->sketch.parts;
  each_wanted_curve(side, block, [&](const SketchCurve& c) {
    const auto [low, high] = radial_range(c);
    const bool own = side.outer_side ? low >= side.surface - side.snap : high <= side.surface + side.snap;
    if (own) sketch.curves.push_back(c);
    if (!runs_across(side, c, side.surface) || !faults.empty()) return;
    const DxfEntity& entity = side.drawing->entities[static_cast<std::size_t>(c.part)];
    faults.push_back(
        {block.values.place(key),
         fmt::format("{}.{} puts the surface at the gap to the radius {}, where the {} of line {} of "
                     "the drawing runs across it, {}",
                     block.path, key, millimetres(side.surface), entity.type, entity.line, place_words(middle(c))),
         reach_hint(side, block, 0)});
  });
  return sketch;
}

void check_reach(const DrawnSide& side, const Block& block, Faults& faults) {
  const double found = side.outer_side ? side.smallest_radius() : side.largest_radius();
  if (std::abs(found - side.surface) <= 5 * side.snap) return;
  const double past = side.other_surface > 0 && !runs_across_other(side, block) ? reach_past(side, block) : 0;
  const std::string key = surface_key(side);
  faults.push_back(
      {block.values.place(key),
       fmt::format("{}.{} puts the surface at the gap to the radius {}, but the drawn {} reaches to {}", block.path,
                   key, millimetres(side.surface), block.path, millimetres(past > 0 ? past : found)),
       reach_hint(side, block, found)});
}

}  // namespace polepitch
