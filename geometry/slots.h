// A slot shape in its own coordinates: depth from the gap surface into the core, half width across. A shape states
// only its outline; drawing, teeth, layers, checks and cuts follow from that. The same shape serves both sides.
#pragma once

#include <string>
#include <vector>

#include "geometry/drawing.h"

namespace polepitch {

/// Where slots sit: `direction` +1 when they go outwards from the surface (stator), −1 inwards (rotor).
struct SlotSite {
  const Block* block = nullptr;  // [stator.slot] or [rotor.slot]
  double radius = 0;             // of the gap surface
  int direction = 1;
  int count = 0;
  double floor_radius = 0;  // where the core ends
  std::string surface;      // "at the bore", "at the rotor surface"
};

/// One point of the right half of the outline; the piece that ends here may be an arc about (centre_depth,
/// centre_half), which runs clockwise when depth points right and half width up. `parameter` sets the width here.
struct OutlinePoint {
  double depth = 0, half = 0;
  std::string parameter;
  bool arc = false;
  double centre_depth = 0, centre_half = 0;
  bool hollow = false;  // the arc bends into the slot and runs the other way
};

struct SlotOutline {
  std::vector<OutlinePoint> points;  // from the mouth (or the axis under a bridge) to the axis at the bottom
  bool open = true;
  double wedge_top = -1;                             // depth where a wedge begins; −1: no wedge
  double body_top = 0, body_bottom = 0;              // conductors
  double slit_top = -1, slit_bottom = -1;            // between an upper and a lower body; −1: one body
  double tooth_top = 0, tooth_bottom = 0;            // where the tooth is measured
  std::string depth_parameter;                       // the one to change when the slot is too deep
  double conductor_width = 0, conductor_height = 0;  // rectangle in each layer; 0: the layer is filled
  std::string wedge_material = "air";
};

struct SlotType {
  CatalogueEntry entry;
  /// Reports faults within the shape; the outline is still returned so that the checks against the core can go on.
  SlotOutline (*outline)(const SlotSite& site, Faults& faults);
};

const std::vector<const SlotType*>& slot_types();
const SlotType& slot_type(const Block& slot);

/// Depth of the surface at the half width, which is 0 on the axis: where an opening of that width begins.
double mouth_depth(const SlotSite& site, double half);
/// Half width at a depth that gives the tooth beside it the width `tooth`.
double half_for_tooth(const SlotSite& site, double depth, double tooth);
double half_width(const SlotOutline& outline, double depth);
double tooth_width(const SlotSite& site, const SlotOutline& outline, double depth);
Point slot_point(const SlotSite& site, double axis, double depth, double across);

/// Rounds the corner at the end of `outline` on the way to `corner` and on to the axis at the same depth.
void add_bottom_corner(SlotOutline& outline, OutlinePoint corner, double radius);

/// Teeth of positive width, mouth within the pitch, depth within the core.
void check_slots(const SlotSite& site, const SlotOutline& outline, Faults& faults);

/// Outlines of the slots at the given axes and the surface between them.
void draw_slots(SideDrawing& drawing, const SlotSite& site, const SlotOutline& outline, const std::vector<double>& axes,
                const std::string& part);
/// Opening, widths, depth and the tooth of the slot at `axis` and of the next one; draw_slots calls it.
void add_slot_dimensions(SideDrawing& drawing, const SlotSite& site, const SlotOutline& outline, double axis);
/// Line across every slot at a depth; at the mouth it follows the surface.
void draw_across(SideDrawing& drawing, const SlotSite& site, const SlotOutline& outline,
                 const std::vector<double>& axes, double depth, const std::string& part);

/// A gauge for each tooth that follows a slot of the sector, with cuts at seven heights.
void add_tooth_gauges(SideDrawing& drawing, const SlotSite& site, const SlotOutline& outline,
                      const std::vector<double>& axes, int sign);
/// A gauge from the bottom of each slot to the end of the core.
void add_yoke_gauges(SideDrawing& drawing, const SlotSite& site, const SlotOutline& outline,
                     const std::vector<double>& axes);

}  // namespace polepitch
