// Iron loss solved on the field: at one operating point, and over a grid of currents.
#pragma once

#include <array>
#include <vector>

#include "cases/study.h"
#include "cases/study_tools.h"
#include "post/cubic_spline.h"
#include "post/iron_loss.h"

namespace polepitch {

/// Throws InputError, with the study's place, where a core's material states no coefficients.
void check_iron_loss(const Case& kase, const Section& section, const Block& study);

/// loss_positions of a study whose iron loss is asked for by giving it.
Parameter optional_loss_positions();

/// Whole, stator's, rotor's and the three terms.
void report_iron_loss(Recorder& out, const IronLoss& loss);

/// At these currents {i_d, i_q, i_f} (A, peak in dq) and this electrical frequency: the rotor turned through its
/// period, `per_half_period` positions a pole pitch; of a skewed machine in every slice, the mean. `from` and `to` are
/// the share of the study's progress.
IronLoss solve_iron_loss(StudyContext& context, const std::array<double, 3>& currents, int per_half_period,
                         double frequency, double from = 0, double to = 1);

/// The three terms over i_d and i_q at one field current, between the points of a grid by splines.
class IronLossMap {
 public:
  IronLossMap() = default;
  /// Loss of the whole machine at `ratio` times the map's frequency.
  IronLossParts at(double i_d, double i_q, double ratio) const;
  bool empty() const { return empty_; }
  /// Largest difference from the field at points off the grid, over the largest loss on it.
  double error = 0;

 private:
  friend IronLossMap solve_iron_loss_map(StudyContext&, const std::vector<double>&, const std::vector<double>&, double,
                                         int, double, double, double);
  SplineSurface hysteresis_, classical_, excess_;
  bool empty_ = true;
};

IronLossMap solve_iron_loss_map(StudyContext& context, const std::vector<double>& i_d, const std::vector<double>& i_q,
                                double i_f, int per_half_period, double frequency, double from, double to);

}  // namespace polepitch
