// What the files of the catalogue share: how a type declares itself, the plan it is drawn to, and small helpers.
// Stator and rotor types draw one sector into a SideDrawing; draw_section makes the Section of it.
#pragma once

#include <cmath>
#include <string>
#include <vector>

#include "geometry/catalogue.h"
#include "geometry/dimension.h"
#include "geometry/machine.h"
#include "geometry/section.h"
#include "geometry/sketch.h"

namespace polepitch {

using Faults = std::vector<Diagnostic>;

/// How often a part repeats round the machine and whether neighbours are opposite; 0 means "any" or "either".
struct Symmetry {
  int sectors = 0;
  int sign = 0;
};

/// What is settled before drawing: symmetry and gap.
struct Plan {
  const Machine* machine = nullptr;
  WindingLayout winding, rotor_winding;
  bool wound = false;
  int sectors = 1;
  int sign = 1;
  double stator_radius = 0;  // of the gap surface
  double rotor_radius = 0;

  double sector_angle() const { return 2 * 3.14159265358979323846 / sectors; }
  double gap() const { return std::abs(stator_radius - rotor_radius); }
  bool rotor_outside() const { return rotor_radius > stator_radius; }
  int in_sector(int whole) const { return whole / sectors; }
};

struct SideDrawing {
  Sketch sketch;
  Side side = Side::stator;
  double start_angle = 0;
  double sector_angle = 0;
  bool closed = false;  // the sector is the whole circle
  double gap_radius = 0;
  double far_radius = 0;
  std::vector<Gauge> gauges;
  std::vector<Branch> branches;
  std::vector<Dimension> dimensions;
};

struct StatorType {
  CatalogueEntry entry;
  int (*slots)(const Block& stator);  // where coil sides can lie
  void (*check)(const Machine& machine, Faults& faults);
  Symmetry (*symmetry)(const Machine& machine);  // of the shape alone, without the winding
  void (*draw)(const Plan& plan, SideDrawing& drawing);
};

struct RotorType {
  CatalogueEntry entry;
  double (*radius)(const Machine& machine, double stator_radius);  // of the gap surface, where nearest to the stator
  void (*check)(const Machine& machine, double stator_radius, Faults& faults);
  Symmetry (*symmetry)(const Machine& machine);
  void (*draw)(const Plan& plan, SideDrawing& drawing);
};

const std::vector<const StatorType*>& stator_types();
const std::vector<const RotorType*>& rotor_types();
/// Throw InputError naming the known types.
const StatorType& stator_type(const Block& stator);
const RotorType& rotor_type(const Block& rotor);

/// Radius of the stator's gap surface: every stator declares bore_diameter, or outer_diameter where the rotor is
/// outside.
double stator_radius(const Machine& machine);
bool rotor_outside(const Machine& machine);

// Declarations of parameters.
Parameter length_parameter(std::string name, double lower_mm, double upper_mm, std::string fallback_mm,
                           std::string sentence);  // fallback "" = required
Parameter optional_length(std::string name, double lower_mm, double upper_mm, std::string sentence);
Parameter integer_parameter(std::string name, int lower, int upper, std::string fallback, std::string sentence);
Parameter number_parameter(std::string name, double lower, double upper, std::string fallback, std::string sentence);
Parameter material_parameter(std::string name, std::string fallback, std::string sentence);

// Faults between parameters.
std::string millimetres(double si);
/// For the allowed range in a hint: the value that is printed is itself allowed.
std::string rounded_down(double si);
std::string rounded_up(double si);
/// "stator.slot.opening_width = 9 mm", the start of a message about a length.
std::string said(const Block& block, const std::string& name);
void add_fault(Faults& faults, const Block& block, const std::string& name, const std::string& what_is_wrong,
               const std::string& hint);

// Dimensions for the drawing of a side.
/// Set by one parameter; `entry` ≥ 0: of its list.
void add_dimension(SideDrawing& drawing, const Block& block, const std::string& parameter, Point from, Point to,
                   int entry = -1);
/// Follows from several parameters.
void add_measure(SideDrawing& drawing, std::string name, Point from, Point to);
void add_air_gap(SideDrawing& drawing, const Plan& plan, double angle);

// Pieces that most sides have.
Region make_region(const SideDrawing& drawing, Role role, std::string name, std::string material);
/// Circle of the sector about the axis.
void add_ring(SideDrawing& drawing, double radius, const std::string& part);
/// Both radial edges of the sector between two radii; nothing when the sector is closed.
void add_edges(SideDrawing& drawing, double inner, double outer);
/// Inside the inner core: shaft and what flux sees of it (machine.shaft), and the boundary. `radius` 0: no shaft.
void draw_shaft(const Plan& plan, SideDrawing& drawing, double radius);
/// Radius inside which there is no core of an inner rotor: of the shaft, or 0.
double shaft_radius(const Machine& machine);
std::string rotor_material(const Machine& machine);
/// The rotor must fit into the bore and around its shaft; for rotors that state air_gap and shaft_diameter.
bool check_rotor_fits(const Machine& machine, double bore_radius, Faults& faults);
Gauge::Cut make_cut(Point from, Point to);
/// Cut straight along a radius.
Gauge make_yoke_gauge(Gauge::Part part, Side side, std::string name, double angle, double from, double to);

}  // namespace polepitch
