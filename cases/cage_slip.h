// The slip study of a machine with a cage: torque, currents and losses over slip from the voltage-fed time-harmonic
// field, the largest torque by search, and the angle between both sides' MMFs.
#pragma once

#include "cases/study.h"
#include "solver/cage_field.h"

namespace polepitch {

/// voltage, phase_resistance; the rest is the slip study's.
std::vector<Parameter> cage_slip_parameters();

struct CageSlipRequest {
  double omega = 0;           // rad/s
  double voltage = 0;         // V, peak, of a phase
  double resistance = 0;      // ohm per phase
  double end_inductance = 0;  // H per phase
  CageEnds ring;
  std::vector<double> slips;  // falling
  double rated_slip = 0;      // of the rating's speed; 0 where it states none
};

/// Throws InputError where the study does not fit.
CageSlipRequest read_cage_slip(const Case& kase, const Section& section, const Block& study);

/// What a mesh is adapted to: locked rotor and rated speed, at three instants, from fields on a coarse mesh.
std::vector<Excitation> cage_states(const Case& kase, const Section& section, const Block& study);

StudyResult cage_slip(StudyContext& context, const Block& study);

}  // namespace polepitch
