// From the section's points and curves to paths on the page: arcs stay arcs, sectors are copied by turning.
#pragma once

#include <vector>

#include "geometry/section.h"
#include "post/canvas.h"

namespace polepitch {

/// Machine metres to page points: turn about the machine axis, scale, flip, shift.
struct View {
  double scale = 1;  // pt/m
  Point axis;        // page position of the machine axis
  double turn = 0;   // rad, counter-clockwise

  Point operator()(Point p, double rotation = 0) const;
  /// Page angle (clockwise) of a machine angle.
  double page_angle(double angle) const { return -(angle + turn); }
};

/// A piece of the drawing: everything, or one pole pitch with pole `pole` turned upwards.
struct Window {
  bool whole = true;
  int pole = 0;  // pole 0 lies around the rotor's d-axis
};

/// View of the window in a page rectangle; `outer_radius` [m] is the machine's. The rotor stands at `rotor_angle`.
View view_of(const Section& section, const Window& window, double rotor_angle, double left, double top, double size);

/// Largest radius drawn [m].
double outer_radius(const Section& section);

/// The loops of a region turned by `rotation`, outer boundary and holes (opposite directions: non-zero filling leaves
/// the holes open).
void append_region(Path& path, const SideSection& side, const Region& region, const View& view, double rotation);

/// Indices of the curves worth a line: outlines of parts; not gap circles, sector edges or cuts through one medium.
std::vector<int> visible_curves(const Section& section, Side side);

void append_curves(Path& path, const SideSection& side, const std::vector<int>& curves, const View& view,
                   double rotation);

/// Rotation of sector copy `sector` of a side [rad], and the sign of every field and source in it.
double sector_rotation(const Section& section, Side side, int sector, double rotor_angle);
int sector_sign(const Section& section, int sector);

}  // namespace polepitch
