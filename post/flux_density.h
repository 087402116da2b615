// Flux density of teeth, yokes and poles against the case's limits, gathered over rotor angles.
//
// Through a cut of a part goes the flux L (A_to − A_from); over the cut's width it is the mean flux density across the
// part (apparent: over the stack length, stacking not divided out; theory.md, eq. 18). The 99th percentile by area of
// |B| shows the part's local level without the peak at a corner, which grows as the mesh is refined.
#pragma once

#include <string>
#include <vector>

#include "post/results.h"
#include "solver/static_field.h"

namespace polepitch {

/// Flux density [T] across each cut of one gauge, from the narrow end.
std::vector<double> gauge_flux_density(const StaticField& field, const StaticSolution& solution, const Gauge& gauge);

/// "stator tooth": the part in words; "stator_tooth": its name among the limits of the case.
std::string part_name(Gauge::Part part);
std::string part_key(Gauge::Part part);

/// What is known of one part after some rotor angles.
struct PartRecord {
  Gauge::Part part;
  bool found = false;
  double largest = 0, at_third = 0, percentile99 = 0;  // T
  std::string worst_name;
  double worst_angle = 0;                // rad
  std::vector<double> each, each_third;  // T, largest and at a third of every gauge of the part
};

struct FluxDensityRecord {
  std::vector<PartRecord> parts;   // those that the section has gauges for
  std::vector<int> part_of;        // index into `parts` of each triangle, −1: none
  std::vector<double> point_area;  // m2, of every element point, triangle by triangle
};

/// Sorts the core's elements into parts: by the radii between which the gauges' cuts lie.
FluxDensityRecord flux_density_record(const StaticField& field);

/// Takes in one field. Every sector carries the same flux density, so one sector serves.
void add_field(FluxDensityRecord& record, const StaticField& field, const StaticSolution& solution);

/// Takes in a record of the same mesh from another thread.
void merge(FluxDensityRecord& record, const FluxDensityRecord& other);

/// Rows in the order of Gauge::Part; `limits` are the case's [limits]: stator_tooth, … [T].
FluxDensityTable flux_density_table(const FluxDensityRecord& record, const std::string& study, const Values& limits);

/// One sentence for each row over its limit: "stator tooth: 1.92 T in stator tooth 3 at 12.5 deg exceeds 1.8 T".
std::vector<std::string> limit_warnings(const FluxDensityTable& table);

/// Value at which `share` of the area lies at or under. Reorders both (pairs of value and area).
double percentile_by_area(std::vector<std::pair<double, double>>& samples, double share);

}  // namespace polepitch
