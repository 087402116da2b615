// The load point of a machine with a cage: the slip at which shaft torque, shaft power or terminal power is what the
// study asks for, searched on the field.
#pragma once

#include "cases/slip_points.h"

namespace polepitch {

enum class CageLoad { torque, shaft_power, terminal_power };

struct CageLoadRequest {
  CageSupply supply;
  CageLoad given = CageLoad::terminal_power;
  double wanted = 0;       // N m or W, not negative
  bool generator = false;  // slips are negative then, and torque and powers the other way
  bool iron_loss = false;
  double start = 0.02;  // slip, its magnitude
};

/// torque, shaft_power, iron_loss: the keys of a load-point study that only a cage has.
std::vector<Parameter> cage_load_parameters();
/// Throws InputError with every key that does not fit a cage, or more than one load.
CageLoadRequest read_cage_load(const Case& kase, const Section& section, const Block& study);

struct CageLoadPoint {
  SlipPoint point;
  double iron = 0;  // W, taken from the terminals
};
/// The current of the iron loss, in phase with the terminal voltage, beside the field's; peak.
std::complex<double> current_with_iron(const CageLoadPoint& at, int phases);
/// Into the terminals, iron loss included [W].
double terminal_power(const CageLoadPoint& at, int phases);

/// Throws InputError where no slip between synchronous speed and breakdown does, with the nearest load that one does.
CageLoadPoint solve_cage_load(const StudyContext& context, SlipRunner& runner, const CageLoadRequest& request,
                              const Block& study);

StudyResult cage_load_point(StudyContext& context, const Block& study);
std::vector<Excitation> cage_load_states(const Case& kase, const Section& section, const Block& study);
/// Skin depth in the bars at a slip of 0.2, near the largest load.
std::vector<double> cage_load_edges(const Case& kase, const Section& section, const Block& study);

}  // namespace polepitch
