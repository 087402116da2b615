// Magnets, pockets, barriers and bars inside the iron of a pole: closed outlines that keep their distances from the
// rotor's surface, its shaft, the neighbouring pole and one another. What does not fit is told with the range that
// does.
#pragma once

#include <functional>
#include <string>
#include <vector>

#include "geometry/drawing.h"

namespace polepitch {

/// One piece in the frame of its pole: x along the pole axis, y across it [m]; the outline runs counter-clockwise.
struct PolePart {
  Role role = Role::air;
  std::string name;      // "magnet", "outer pocket": shown with the number of the pole
  std::string material;  // of the region
  std::vector<SketchCurve> outline;
  Point seed;            // inside
  double direction = 0;  // of a magnet's remanence where the pole is a north pole
  int cavity = 0;        // parts of one cavity share borders
};

using Outline = std::vector<SketchCurve>;
Outline polygon(const std::vector<Point>& corners);  // counter-clockwise
SketchCurve line(Point a, Point b);
SketchCurve arc(Point a, Point b, Point centre, bool ccw);
/// The part mirrored at the pole axis, with `cavity` of its own.
PolePart mirrored(const PolePart& part, int cavity);

/// Where parts may lie: inside `outer`, outside `inner`, within ±half_pitch of the pole axis.
struct PoleRoom {
  double outer = 0, inner = 0, half_pitch = 0;
};
inline constexpr double least_iron = 0.1e-3;  // m, thinnest iron that is drawn

/// What does not fit, and the parameter that is to blame; `entry` ≥ 0: of a list.
struct Misfit {
  std::string parameter;
  std::string words;  // "leaves no iron between pocket and surface"
  int entry = -1;
};

/// Whom to blame for each way in which a part can lie wrong.
struct Blame {
  std::string surface, shaft, neighbour_pole, other_part, shape;
};
std::vector<Misfit> misfits(const std::vector<PolePart>& parts, const PoleRoom& room, const Blame& blame);

using MisfitSearch = std::function<std::vector<Misfit>(const Machine&)>;
/// A fault for each misfit of the rotor; the hint is the range of the parameter in which, all others as they are,
/// `search` finds no misfit.
void report_misfits(const Machine& machine, const std::vector<Parameter>& table, const MisfitSearch& search,
                    Faults& faults);

/// Outlines and labels of a pole's parts; magnets point inwards where `pole` is odd.
void draw_parts(SideDrawing& drawing, const std::vector<PolePart>& parts, double axis, int pole);

/// A gauge of one cut.
Gauge single_cut(Gauge::Part part, std::string name, Point from, Point to);
/// What a round laminated core around such parts has in common: gap circle, surface, shaft, edges, labels of core and
/// air. The sector begins half a pole before `first_axis`; returns the axes of its poles.
std::vector<double> draw_round_core(const Plan& plan, SideDrawing& drawing, double first_axis);

double distance_to(const SketchCurve& curve, Point p);
/// Least distance between two outlines, 0 where they cross or one holds the other.
double least_distance(const Outline& a, const Outline& b);

}  // namespace polepitch
