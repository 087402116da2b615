// A machine with a cage at many slips: its fields with the MMFs of both sides, what follows from each, and the search
// for the largest torque.
#pragma once

#include <complex>
#include <vector>

#include "cases/cage_runner.h"
#include "cases/cage_supply.h"
#include "post/iron_loss.h"
#include "post/mmf.h"

namespace polepitch {

struct SlipPoint {
  double slip = 0;
  CageSolution field;
  double torque_angle = 0;             // rad, arg F_s − arg F_r
  std::complex<double> f_s, f_r;       // A, MMF vectors
  std::complex<double> main_linkage;   // Wb, peak, of phase A with the working wave on the mean gap circle
  std::complex<double> rotor_current;  // A, peak: the rotor's MMF as a current of the stator's phases
  double slot_current = 0;  // A, peak: of all bars of the slot on the d-axis; of a wound rotor that of a phase
  double rotor_phase = 0;   // rad, by which a bar's current lags the EMF of the gap's working wave
  // N m, of every position (all harmonics); everything else is the mean over them, but A, bars and the waves on the gap
  // circles in `field`, which are those of the first.
  std::vector<double> torques;
};

/// Everything at a point that follows from its field. Angles in rad, speed in rad/s.
struct SlipFigures {
  double speed = 0, input = 0, shaft = 0, copper = 0, factor = 0, efficiency = 0;
};
SlipFigures figures_of(const SlipPoint& point, const Section& section);

/// Stator leakage [ohm] by the field's split: ω of the linkage that the working wave on the mean gap circle does not
/// make, coil ends included, in phase with the current.
double stator_leakage(const SlipPoint& point);

/// Whether iron loss is asked for (`iron_loss` of the study) or, where the study says nothing, can be had. Throws
/// InputError where it is asked for and a core's material states no coefficients.
bool wants_iron_loss(const Case& kase, const Section& section, const Block& study);
Parameter cage_iron_loss_parameter();
/// Three terms on each place's ellipse, the rotor's at its own frequency.
IronLoss iron_loss_of(const StudyContext& context, const SlipPoint& point);
inline constexpr const char* kIronLossMethod = "three terms on the fundamental's locus in every element";

class SlipRunner {
 public:
  /// `positions` over a rotor slot pitch, with all harmonics; 1 otherwise.
  SlipRunner(StudyContext& context, const CageEnds& ends, const CageOptions& options = {}, int positions = 1);

  /// In the order of the excitations; the first position is at their rotor angle. `from` and `to`: share of the study's
  /// progress.
  std::vector<SlipPoint> at(const std::vector<CageExcitation>& points, double from = 0, double to = 0.8);
  std::vector<SlipPoint> at(const CageSupply& supply, const std::vector<double>& slips, double from = 0,
                            double to = 0.8);
  /// One more, started from a field near it (search).
  SlipPoint at(const CageExcitation& point, const SlipPoint& near);
  /// For pictures, at t = 0.
  FieldFrame frame(const SlipPoint& point, size_t number);
  CageRunner& fields() { return runner_; }

 private:
  struct Vectors;
  Vectors vectors_of(const CageSolution& field) const;
  SlipPoint mean_of(std::vector<CageSolution> fields) const;
  std::vector<CageExcitation> positions_of(const CageExcitation& point) const;
  StudyContext& context_;
  CageRunner runner_;
  MmfMoments moments_;
  int positions_ = 1;
  double turns_ = 0;  // of a phase in series, times the winding factor
};

/// Largest torque near the best of the points (by falling slip, one supply), its slip to 1e-3 of itself. The best point
/// itself where it is the first or last, or where its neighbour is not motoring.
SlipPoint breakdown(SlipRunner& runner, const CageSupply& supply, const std::vector<SlipPoint>& points);

}  // namespace polepitch
