// The slip study of a machine with a cage: torque, currents and losses over slip from the voltage-fed time-harmonic
// field, the largest torque by search, and the angle between both sides' MMFs.
#pragma once

#include "cases/slip_points.h"

namespace polepitch {

struct CageSlipRequest {
  CageSupply supply;
  std::vector<double> slips;  // falling
  double rated_slip = 0;      // of the rating's speed; 0 where it states none
  CageOptions cage;           // its coupling
  int positions = 1;          // with all harmonics
};

/// Throws InputError where the study does not fit.
CageSlipRequest read_cage_slip(const Case& kase, const Section& section, const Block& study);

/// What a mesh is adapted to: locked rotor and rated speed, at three instants, from fields on a coarse mesh.
std::vector<Excitation> cage_slip_states(const Case& kase, const Section& section, const Block& study);

StudyResult cage_slip(StudyContext& context, const Block& study);

}  // namespace polepitch
