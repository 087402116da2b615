#include "geometry/slot_shapes.h"

#include <algorithm>

#include <fmt/format.h>

namespace polepitch {

namespace {

// A stand-in where the widths were not stated, so that the other checks can go on.
BodyWidths stand_in(const SlotSite& site, double top, double bottom) {
  const double half = 0.25 * 2 * half_for_tooth(site, std::min(top, bottom), 0);
  return {half, half, "body_height", "body_height"};
}

BodyWidths from_tooth(const SlotSite& site, double top, double bottom, Faults& faults) {
  const double tooth = site.block->values.number("tooth_width");
  BodyWidths w{half_for_tooth(site, top, tooth), half_for_tooth(site, bottom, tooth), "tooth_width", "tooth_width"};
  const double least = 0.05e-3;
  if (std::min(w.top, w.bottom) > least) return w;
  const double narrow = site.direction > 0 ? top : bottom;
  add_fault(faults, *site.block, "tooth_width",
            fmt::format("leaves no slot between the teeth: the slot pitch is {} there",
                        millimetres(half_for_tooth(site, narrow, 0) * 2)),
            "make the teeth narrower or have fewer slots");
  return stand_in(site, top, bottom);
}

}  // namespace

BodyWidths body_widths(const SlotSite& site, double top, double bottom, Faults& faults) {
  const Values& v = site.block->values;
  const bool tooth = v.has("tooth_width"), widths = v.has("width_top") && v.has("width_bottom");
  const bool any_width = v.has("width_top") || v.has("width_bottom");
  if (tooth && !any_width) return from_tooth(site, top, bottom, faults);
  if (widths && !tooth) return {v.number("width_top") / 2, v.number("width_bottom") / 2, "width_top", "width_bottom"};
  const std::string path = site.block->path;
  if (tooth)
    faults.push_back({v.place("tooth_width"),
                      fmt::format("{}.tooth_width is given beside the widths of the body", path),
                      "state either tooth_width or width_top and width_bottom"});
  else
    faults.push_back({site.block->place, fmt::format("{} does not say how wide its body is", path),
                      "state tooth_width, or both width_top and width_bottom"});
  return stand_in(site, top, bottom);
}

void check_opening(const SlotSite& site, double opening_half, const OutlinePoint& body, Faults& faults) {
  if (opening_half <= body.half + 1e-9) return;
  add_fault(faults, *site.block, "opening_width",
            fmt::format("is wider than the slot body below it, {}", millimetres(2 * body.half)),
            "make the opening narrower or the body wider");
}

}  // namespace polepitch
