// A side of the machine from a drawing: the whole circle, made of the drawn part by copying it, as faces with their
// roles. SI; angles as in the drawing until `draw_sector` turns the side into its place.
#pragma once

#include <array>
#include <memory>
#include <vector>

#include "geometry/drawing_faults.h"
#include "geometry/drawn_area.h"

namespace polepitch {

/// A face of the whole side.
struct DrawnFace {
  int outer = -1;          // loop
  std::vector<int> holes;  // loops
  double area = 0;
  Point centroid;
  Point inner;  // surely inside
  enum class Kind { unknown, ruled, gap, shaft } kind = Kind::unknown;
  int rule = -1;
  int unit = -1;
};

/// Faces that are one part, though a joint between two copies may cut it: a magnet, a coil side, a bar.
struct DrawnUnit {
  int rule = -1;
  std::vector<int> faces;
  double area = 0;
  Point centroid;
  double low = 0, high = 0;      // rad, extent seen from the axis, about the centroid's angle
  double r_low = 0, r_high = 0;  // m
  Magnetisation magnetisation;   // in the drawing's frame
  double turns = 0;              // signed, of the field winding
  int slot = -1, layer = -1;     // of a coil side of the stator
  double angle() const;
};

struct DrawnSide {
  Side side = Side::stator;
  bool outer_side = true;  // lies around the other side
  const DxfDrawing* drawing = nullptr;
  double snap = 0;
  double surface = 0;        // m, radius of the gap surface
  double other_surface = 0;  // m, that of the other side; 0: not known, as of a stator
  int copies = 1;            // of what is drawn, round the axis
  double first_angle = 0;    // rad, where the drawn part begins
  bool joints = false;       // the copies meet at radial lines
  double axis = 0;           // rad, in the drawing: a north pole's axis, the rotor's d-axis
  int poles = 2;
  std::vector<AreaRule> rules;

  Network network;                         // `part`: an entity, or the number of entities for the circle in the gap
  std::vector<std::vector<int>> parts;     // per curve: all entities drawn there
  std::vector<char> joint;                 // per curve: lies where two copies meet
  std::vector<std::array<int, 2>> beside;  // per curve: faces on its left and right, −1 outside
  std::vector<Loop> loops;
  std::vector<DrawnFace> faces;
  std::vector<DrawnUnit> units;
  std::vector<double> slot_angles;  // rad, of the stator's slots in their order

  double step() const { return 2 * 3.14159265358979323846 / copies; }
  SketchCurve curve(int c) const { return drawn(network, c); }
  const AreaRule* rule_of(int face) const;
  /// The face around a point; −1 outside.
  int face_at(Point p) const;
  double largest_radius() const;
  double smallest_radius() const;
};

/// The parameter that places a side's gap surface.
std::string surface_key(const DrawnSide& side);

/// Reads side `side` of the machine. Faults of the case go into `faults` (and the result is not to be used then); what
/// is wrong in the drawing throws DrawingError, all at once.
DrawnSide drawn_side(const Machine& machine, Side side, Faults& faults);

/// What a user should know of a drawn machine: a stator whose slots or phase belts are not all alike.
std::vector<std::string> drawn_warnings(const Machine& machine);

// Its steps.

/// The curves of this side: of the wanted layers, and on its side of the gap. A fault where a line runs across it.
Sketch own_curves(const DrawnSide& side, const Block& block, Faults& faults);
/// What is drawn must reach the gap surface that the case states.
void check_reach(const DrawnSide& side, const Block& block, Faults& faults);
/// Copies, joints, network and faces; DrawingError for gaps, open ends, crossings, doubles.
bool trace_side(DrawnSide& side, const Block& block, Faults& faults);
/// Roles of the faces; DrawingError for faces without one.
void assign_roles(DrawnSide& side, Faults& faults);
/// Units, remanence and turns. `part_coils`: coil sides on both sides of a joint stay two.
void gather_units(DrawnSide& side, bool part_coils = false);
int count_coil_sides(const DrawnSide& side);
/// Slots and layers of the coil sides.
void number_slots(DrawnSide& side, int slots, int layers, const Block& block, Faults& faults);

/// Whether the side turned by 2π/n is itself; sources may then all be reversed (sign −1; 0 where it has none).
/// `witness` takes the place that breaks it.
struct DrawnWitness {
  int part = -1;
  Point at;
};
bool repeats(const DrawnSide& side, int n, int& sign, DrawnWitness* witness = nullptr);
/// The largest number of sectors, or the stated one, checked (DrawingError where the drawing breaks it).
Symmetry drawn_symmetry(const DrawnSide& side, const Block& block);

/// Curves with the same face on both sides: they divide nothing.
std::vector<int> bridges(const Network& network);
/// A point inside the face, away from its curves.
Point inner_point(const Network& network, const std::vector<Loop>& loops, const DrawnFace& face);
bool inside_face(const Network& network, const std::vector<Loop>& loops, const DrawnFace& face, Point p);

/// Smallest and largest distance of a curve from the axis.
std::array<double, 2> radial_range(const SketchCurve& curve);
double angle_between(double from, double to);  // to − from in (−π, π]

// Parameters that drawn sides and slots share.
std::vector<Parameter> drawing_file_parameters();
std::vector<Parameter> drawn_side_parameters();

/// Draws the sector of a side that is turned by `turn` [rad]: curves between the edges, regions, gauges, branches.
void draw_sector(const Plan& plan, const DrawnSide& side, double turn, SideDrawing& drawing);
/// Angle of the sector's first edge in the drawing: near `wanted`, where no coil side or bar is cut. False: none.
bool free_edge(const DrawnSide& side, double wanted, double& angle);
/// Teeth between slots and yokes behind them; without slots the yoke on the sector's edge.
void add_drawn_gauges(const Plan& plan, const DrawnSide& side, double turn, SideDrawing& drawing);

}  // namespace polepitch
