// Faults between a slot and its core, in the words of the slot's parameters.
#include <algorithm>
#include <cmath>
#include <numbers>

#include <fmt/format.h>

#include "geometry/slots.h"

namespace polepitch {

namespace {

constexpr double pi = std::numbers::pi;
constexpr double least_tooth = 0.02;     // of the slot pitch at that depth
constexpr double least_yoke = 0.1e-3;    // m
constexpr double least_mouth = 0.02e-3;  // m, thinnest air or iron that is still drawn

double pitch_at(const SlotSite& site, double depth) {
  return 2 * pi * (site.radius + site.direction * depth) / site.count;
}

bool mouth_fits(const SlotSite& site, const SlotOutline& outline, Faults& faults) {
  const OutlinePoint& mouth = outline.points.front();
  const double pitch = pitch_at(site, 0);
  if (!outline.open || 2 * mouth.half < (1 - least_tooth) * pitch) return true;
  add_fault(faults, *site.block, mouth.parameter,
            fmt::format("is wider than the slot pitch {}, {}", site.surface, millimetres(pitch)),
            fmt::format("less than {} leaves a tooth; fewer slots have a larger pitch",
                        rounded_down((1 - least_tooth) * pitch)));
  return false;
}

bool depth_fits(const SlotSite& site, const SlotOutline& outline, Faults& faults) {
  double deepest = 0;  // how far the slot comes towards the floor, measured along the radius
  for (const OutlinePoint& p : outline.points) {
    const double r = site.direction > 0 ? std::hypot(site.radius + p.depth, p.half) : site.radius - p.depth;
    deepest = std::max(deepest, site.direction * (r - site.radius));
  }
  const double core = site.direction * (site.floor_radius - site.radius);
  if (deepest <= core - least_yoke) return true;
  const bool drawn = outline.depth_parameter == "file";
  const double value = drawn ? 0 : site.block->values.number(outline.depth_parameter);
  const double room = value - (deepest - (core - least_yoke));
  add_fault(
      faults, *site.block, outline.depth_parameter,
      fmt::format("makes the slot {} deep, but the core is only {} deep", millimetres(deepest), millimetres(core)),
      room > 0 ? fmt::format("at most {} fits", rounded_down(room)) : "make the core deeper or the slot shallower");
  return false;
}

// The depth that leaves the least tooth, in slot pitches.
double narrowest(const SlotSite& site, const SlotOutline& outline) {
  std::vector<double> depths;
  for (const OutlinePoint& p : outline.points) depths.push_back(p.depth);
  const double top = depths.front(), bottom = depths.back();
  for (int i = 1; i < 64; ++i) depths.push_back(top + (bottom - top) * i / 64);
  return *std::min_element(depths.begin(), depths.end(), [&](double a, double b) {
    return tooth_width(site, outline, a) / pitch_at(site, a) < tooth_width(site, outline, b) / pitch_at(site, b);
  });
}

void check_teeth(const SlotSite& site, const SlotOutline& outline, Faults& faults) {
  const double depth = narrowest(site, outline), pitch = pitch_at(site, depth);
  if (tooth_width(site, outline, depth) >= least_tooth * pitch) return;
  const auto nearest = std::min_element(
      outline.points.begin(), outline.points.end(),
      [&](const auto& a, const auto& b) { return std::abs(a.depth - depth) < std::abs(b.depth - depth); });
  add_fault(faults, *site.block, nearest->parameter,
            fmt::format("leaves no tooth: {} {} the surface the slot is {} wide, its pitch there is {}",
                        millimetres(depth), site.direction > 0 ? "behind" : "below",
                        millimetres(2 * half_width(outline, depth)), millimetres(pitch)),
            "make the slot narrower, or state tooth_width where the shape has it");
}

// The surface of an inner side falls away from a slot's middle; all but the mouth of an open slot lies below it.
void check_surface(const SlotSite& site, const SlotOutline& outline, Faults& faults) {
  for (std::size_t i = outline.open ? 1 : 0; i < outline.points.size(); ++i) {
    const OutlinePoint& p = outline.points[i];
    const double r = std::hypot(site.radius + site.direction * p.depth, p.half);
    if (site.direction * (r - site.radius) >= least_mouth) continue;
    add_fault(faults, *site.block, p.parameter,
              fmt::format("breaks through the {}: this point of the slot is {} from the axis, the surface {}",
                          outline.open ? "surface" : "bridge", millimetres(r), millimetres(site.radius)),
              outline.open ? "make the slot narrower, or its opening or flare higher"
                           : "make the slot narrower or the bridge thicker");
    return;
  }
}

}  // namespace

void check_slots(const SlotSite& site, const SlotOutline& outline, Faults& faults) {
  const bool mouth = mouth_fits(site, outline, faults), depth = depth_fits(site, outline, faults);
  if (mouth && depth) check_teeth(site, outline, faults);
  check_surface(site, outline, faults);
}

}  // namespace polepitch
