// The drawn cross-section: the smallest sector of each side as points, curves and regions. After this nobody knows
// which slot shape or rotor type made it. SI; the rotor is drawn at rotor angle 0 (its d-axis on the x axis).
#pragma once

#include <array>
#include <cmath>
#include <string>
#include <vector>

#include "geometry/machine.h"
#include "geometry/winding.h"

namespace polepitch {

struct Point {
  double x = 0, y = 0;
};

enum class Side { stator = 0, rotor = 1 };

enum class Role { core, winding, field_winding, bar, magnet, air, wedge, insulation, shaft, layer, sleeve };

/// Straight from `start` to `end`, or an arc about `centre` (counter-clockwise when `ccw`, less than 180°).
struct Curve {
  int start = 0, end = 0;  // indices into SideSection::points
  bool arc = false;
  Point centre;
  bool ccw = true;
};

/// Remanence of a magnet: along a fixed direction, or radially outward/inward from the machine axis.
struct Magnetisation {
  enum class Pattern { none, parallel, radial } pattern = Pattern::none;
  double direction = 0;  // rad, of the parallel pattern
  double sign = 1;       // of the radial pattern: +1 outward
};

/// A face of the section. `loops[0]` is its outer boundary, further loops are holes; each entry is a curve index,
/// negative (−1 − index) when the curve runs backwards. Outer loops run counter-clockwise.
struct Region {
  std::string name;  // "stator core", "slot 3 bottom layer", "pole", "bar 5" — shown to the user
  Role role = Role::air;
  Side side = Side::stator;
  std::string material;
  std::vector<std::vector<int>> loops;
  Point seed;       // inside the face
  double area = 0;  // m2, exact (arcs are arcs)
  Magnetisation magnetisation;
  int branch = -1;   // index into Section::branches, −1 without current
  double turns = 0;  // signed turns per terminal ampere of that branch (coil turns / parallel paths)
  int slot = -1;     // slot (or bar, or pole) number inside the sector, for tables and pictures
  int layer = -1;
};

enum class BranchKind { phase, field, bar, damper, rotor_phase };

/// What can carry a current of its own: a phase, the field winding, one bar of the sector, one damper bar (no current
/// in a static field), a phase of a wound rotor.
struct Branch {
  std::string name;  // "A", "B", "C", "field", "bar 0"
  BranchKind kind = BranchKind::phase;
  double angle = 0;  // rad, mechanical, of a bar's centre or a phase's axis
  int cage = 0;      // of bars: 0 the only or the inner cage, 1 the outer one
};

/// A cut across iron whose flux is a difference of A: stator tooth, yoke, pole core, bridge or rib …  `cuts` run from
/// the narrow end.
struct Gauge {
  enum class Part { stator_tooth, stator_yoke, rotor_tooth, rotor_yoke, pole_core, pole_shoe, bridge } part;
  std::string name;  // "stator tooth 3"
  Side side = Side::stator;
  struct Cut {
    Point from, to;      // in the side's own frame, inside the sector or on its edges
    double width = 0;    // m
    double to_sign = 1;  // flux = to_sign·A(to) − A(from): the sector's sign where the cut runs over its end
  };
  std::vector<Cut> cuts;
  int third = -1;  // the cut at a third of the height from the narrow end; −1 where that has no meaning
};

struct SideSection {
  std::vector<Point> points;
  std::vector<Curve> curves;
  double start_angle = 0;                 // rad: the sector runs from here counter-clockwise
  double gap_radius = 0;                  // of the gap circle that bounds this side's mesh
  double far_radius = 0;                  // of the outer side its outer surface; of the inner one the hole, 0 if none
  std::vector<int> gap_curves;            // on the gap circle, counter-clockwise
  std::vector<int> far_curves;            // on the far circle, counter-clockwise; empty when far_radius is 0
  std::vector<int> start_edge, end_edge;  // radial edges, from the smaller to the larger radius, same count: pairs
};

/// A = 0; unbounded air outside; one free constant; an infinitely permeable surface (tangential H = 0, used by tests).
enum class FarBoundary { zero, open, floating, permeable };

struct Section {
  int pole_pairs = 1;
  int sectors = 1;                   // the machine is this many copies
  int sign = 1;                      // −1: neighbours have opposite sign of every field and source
  double length = 0;                 // m, stack length
  double stacking_factor = 1;        // of the laminated cores (Role::core)
  double stator_radius = 0;          // of the stator's gap surface, where it is nearest to the rotor
  double rotor_radius = 0;           // of the rotor's gap surface; larger than the stator's where the rotor is outside
  std::array<SideSection, 2> sides;  // [Side]
  std::vector<Region> regions;       // both sides
  std::vector<Branch> branches;      // phases first, then field, then bars
  std::vector<Gauge> gauges;
  FarBoundary outer = FarBoundary::zero;
  FarBoundary inner = FarBoundary::zero;  // only where the inner side's far_radius > 0
  WindingLayout winding;
  WindingLayout rotor_winding;  // of a wound rotor; without coil sides for all others

  double sector_angle() const { return 2 * 3.14159265358979323846 / sectors; }
  double gap() const { return std::abs(stator_radius - rotor_radius); }
  bool rotor_outside() const { return rotor_radius > stator_radius; }
  Side outer_side() const { return rotor_outside() ? Side::rotor : Side::stator; }
  FarBoundary far_boundary(Side side) const { return side == outer_side() ? outer : inner; }
  double gap_circle(Side side) const { return sides[static_cast<int>(side)].gap_radius; }
};

/// Draws the smallest sector. Throws InputError (faults between parameters, in the user's words, all at once) and
/// GeometryError (lines that cross although every parameter is in range).
Section draw_section(const Machine& machine);

}  // namespace polepitch
