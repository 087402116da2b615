// Inductances and reactances of one field at one rotor position; their mean over positions is the study's.
#pragma once

#include <span>
#include <vector>

#include "geometry/machine.h"
#include "post/leakage.h"

namespace polepitch {

/// λ_row per ampere in column [H]; dq amplitude-invariant. The field winding's entries are 0 where there is none;
/// reciprocity reads fd = (m/2) df.
struct InductanceMatrix {
  double dd = 0, dq = 0, qd = 0, qq = 0;
  double df = 0, qf = 0, fd = 0, fq = 0, ff = 0;
};

/// Linkages of unit axis currents in the field frozen at a state: apparent inductances and their split.
struct FrozenInductances {
  InductanceMatrix apparent;  // with the end winding in dd and qq
  LinkageParts d, q;          // H: split of the section's part of dd and qq
  LinkageParts dq, qd;        // H: of dq and qd
  double end_winding = 0;     // H per phase
  double zero = 0;            // λ_0 per ampere in every phase [H], the section's part; odd number of phases

  double leakage_d() const { return d.leakage() + end_winding; }
  double leakage_q() const { return q.leakage() + end_winding; }
};

/// Reluctivity frozen at the quadrature points of `state`; one factorisation. `end_winding` [H] per phase is added
/// where an axis current links its own axis.
FrozenInductances frozen_inductances(StaticField& field, const StaticSolution& state, double end_winding = 0);

/// ∂λ/∂i at the operating point from the Newton tangent.
InductanceMatrix incremental_inductances(StaticField& field, const StaticSolution& state, double end_winding = 0);

/// What stands behind incremental_inductances: fields of 1 A more of i_d, of i_q and, where there is a field winding,
/// of i_f, from the Newton tangent at `state`; and what they link.
std::vector<StaticSolution> tangent_responses(StaticField& field, const StaticSolution& state);
InductanceMatrix response_linkages(const StaticField& field, const std::vector<StaticSolution>& responses,
                                   double end_winding = 0);

/// The matrix of axes that lie `angle` (rad, electrical) behind its own: of a slice whose rotor is that far ahead.
InductanceMatrix turned(const InductanceMatrix& matrix, double angle);
FrozenInductances turned(const FrozenInductances& inductances, double angle);

/// Means over rotor positions.
InductanceMatrix mean(std::span<const InductanceMatrix> positions);
FrozenInductances mean(std::span<const FrozenInductances> positions);

/// Reactances at ω [ohm]. X_l is the one stated leakage reactance; a salient rotor's own values stand beside it.
struct Reactances {
  double d = 0, q = 0, dq = 0, qd = 0;
  double l = 0;              // stated X_l: the mean of both axes unless given
  double l_d = 0, l_q = 0;   // of the split in each axis, end winding included
  double ad = 0, aq = 0;     // X_d − X_l, X_q − X_l
  double md = 0, mq = 0;     // magnetising parts of the split (fundamental of the gap)
  double field_mutual = 0;   // ω λ_d per ampere of field current
  double zero = 0;           // X_0, the section's part
  double field_leakage = 0;  // X_fd, referred to the stator by equal mutuals; 0 without field winding
  double transient = 0;      // X'_d of field winding alone: X_l + X_ad X_fd/(X_ad + X_fd)
};
/// X_fd = ω ((2/m) L_ff (X_ad/(ω L_df))² − L_ad), the field's self-inductance on the reciprocal base less X_ad
/// (theory.md, eq. 35a).
Reactances reactances(const FrozenInductances& inductances, double omega, int phases = 3);
/// With an X_l [ohm] of the user's.
Reactances reactances(const FrozenInductances& inductances, double omega, int phases, double stated_leakage);

/// The field current that makes the same gap linkage as one ampere of i_d: with it all d-axis mutuals are equal, so the
/// field base current of per unit is base current × this [A/A] (reciprocal base; theory.md, eq. 35).
double field_base_ratio(const FrozenInductances& inductances, double omega, const Reactances& reactances);

/// Stator side of the induction machine's circuit at one magnetising current, from the actual (not frozen) field:
/// the linkage's part along the current's axis, over the current.
struct MagnetisingPoint {
  double current = 0;      // A, peak, of the phase current's vector
  LinkageParts parts;      // H
  double end_winding = 0;  // H

  double main_inductance() const { return parts.magnetising; }
  double leakage_inductance() const { return parts.leakage() + end_winding; }
};
MagnetisingPoint magnetising_point(const StaticField& field, const StaticSolution& solution,
                                   const Excitation& excitation, double end_winding = 0);

}  // namespace polepitch
