// A load point as a case states it (voltage, power, power factor or field current, motor or generator), and its
// solution on the field.
#pragma once

#include <optional>

#include "cases/steady_state.h"

namespace polepitch {

struct LoadPointRequest {
  bool generator = true;
  bool over_excited = true;
  double voltage = 0;                           // V, peak phase voltage
  double power = 0;                             // W, not negative; out of the terminal of a generator
  std::optional<double> power_factor;           // of machines whose field winding is to meet it
  std::optional<double> field_current;          // A, held instead
  std::optional<double> largest_field_current;  // A
  std::optional<double> resistance;             // ohm per phase, instead of the winding's own
  int positions = 12;
  std::optional<int> loss_positions;  // where iron loss is asked for
};

/// operation, voltage, power, power_factor, excitation, field_current, largest_field_current, phase_resistance,
/// positions. The study of the load point alone has loss_positions beside them.
std::vector<Parameter> load_point_parameters();
/// Throws InputError with every fault between the study and the machine.
LoadPointRequest read_load_point(const Case& kase, const Section& section, const Block& study);

SteadyOptions options_for(const StudyContext& context, const LoadPointRequest& request);
Terminal terminal_of(const LoadPointRequest& request);

/// Throws InputError where the point cannot be reached, with the nearest one that can.
SteadyPoint solve_load_point(SteadyState& state, const LoadPointRequest& request, const Block& study);

/// A warning where the stator carries more than 1.05 times its rated current: a field is solved at any current.
void warn_beyond_rating(const StudyContext& context, const SteadyPoint& point, StudyResult& result);

/// What a mesh for this load point is adapted to: it is solved on a coarse mesh, three unequal positions of it.
std::vector<Excitation> load_point_states(const Case& kase, const Section& section, const Block& study);

/// {"operation", "generator"}, {"voltage", "400 V"} … as asked for.
std::vector<std::pair<std::string, std::string>> describe_load_point(const Case& kase, const LoadPointRequest& request);

}  // namespace polepitch
