// The standstill frequency response as a study states it, solved on one mesh: operational inductances at every
// frequency, means over rotor positions.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "cases/load.h"
#include "cases/study.h"
#include "post/operational_inductance.h"

namespace polepitch {

struct ResponseRequest {
  bool loaded = false;        // about a load state; otherwise initial permeability
  Load load;                  // currents of the load state, positions
  std::vector<double> omega;  // rad/s, ascending
  double rated_omega = 0;
  std::vector<double> conductivity;  // S/m per region
  StandstillCircuit circuit;         // damper rings, field winding, end winding
  double phase_resistance = 0;       // ohm
  std::optional<double> leakage;     // ohm, X_l as the case states it
  double enough = 0.01;              // deviation of a circuit that is good enough
};

std::vector<Parameter> response_parameters();
/// One request for each state that the study asks for. Throws InputError with every fault between study and machine.
std::vector<ResponseRequest> read_response(const Case& kase, const Section& section, const Block& study);

/// Edge of a second-order triangle over the skin depth that the mesh is adapted to where the loss is, and the one that
/// a warning tells of.
inline constexpr double kSkinEdge = 1.5, kCoarseSkinEdge = 2;

/// Of one part that carries eddy currents (all damper bars are one, and so are all wedges), at the highest frequency.
struct SolidPart {
  std::string name;
  double skin_depth = 0;          // m, weighed with the loss
  double elements_per_depth = 0;  // skin depth over the edge of a triangle, weighed with the loss
  double loss_share = 0;          // of the apparent power of the axis' current, the larger of both axes
};

struct Response {
  std::vector<std::vector<OperationalInductances>> positions;  // [position][frequency]
  std::vector<OperationalInductances> mean;                    // [frequency]
  OperationalInductances direct;                               // mean at frequency 0
  std::vector<OperationalInductances> direct_positions;
  OperationalInductances twice;  // mean at twice the rated frequency
  double leakage = 0;            // ohm, X_l, mean over the positions
  double change = 0;             // see StandstillModes
  int factorisations = 0;
  std::vector<SolidPart> parts;  // at the first position
};

Response solve_response(StudyContext& context, const ResponseRequest& request, double from, double to);

/// For AdaptRequest::beside: fields of both axes at a few frequencies; logarithms and phases of L_d and L_q, whose
/// differences are relative ones.
std::vector<double> response_beside(const Case& kase, const Section& section, const Block& study, const Mesh& mesh,
                                    std::vector<double>& share);

}  // namespace polepitch
