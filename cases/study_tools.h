// What several studies share: quantities with their study's name, the record of one loaded point, warnings.
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "cases/load.h"
#include "cases/study.h"
#include "post/demagnetisation.h"
#include "post/flux_density.h"
#include "post/reactances.h"

namespace polepitch {

using At = std::vector<std::pair<std::string, std::string>>;

/// Appends quantities of one study at one operating point.
class Recorder {
 public:
  Recorder(StudyResult& result, std::string study, At at, int positions);
  Quantity& add(std::string_view name, double value, const std::string& method);
  /// Mean over positions, with the peak-to-peak value as ripple.
  Quantity& add_mean(std::string_view name, const std::vector<double>& values, const std::string& method);
  /// X_… or R_… in ohm, one value a position, and beside it x_… or r_… in per unit of the impedance `base` [ohm].
  /// Returns the one in ohm.
  Quantity& add_reactance(std::string_view name, const std::vector<double>& ohm, double base,
                          const std::string& method);

 private:
  StudyResult& result_;
  std::string study_;
  At at_;
  int positions_;
};

/// Rated ω [rad/s]; only of a case with a [rating].
double rated_omega(const Case& kase);

/// End-winding inductance per phase [H] by the formula of post/end_winding.h; 0 without a winding.
double end_winding_of(const StudyContext& context);

/// Keeps up to `[output] field_angles` of `count` points, equally spaced.
std::vector<bool> chosen_frames(const StudyContext& context, size_t count);

/// Share of the core's area where |B| lies past the end of the B–H table in this field.
double extrapolated_share(const StaticField& field, const StaticSolution& solution);

/// A warning when more than 0.1 % of the iron is past its table.
void warn_extrapolated(StudyResult& result, const std::string& study, double share);

/// Flux density over a sweep: one record a chain, merged in the order of the chains (the same with any workers); and
/// the worst state of the magnets, where their material states a knee.
class FluxDensityRecords {
 public:
  FluxDensityRecords(StudyContext& context, size_t points);
  void add(size_t index, const StaticField& field, const StaticSolution& solution);
  /// Adds table and warnings to the result.
  void finish(StudyContext& context, StudyResult& result);

 private:
  std::vector<FluxDensityRecord> records_;
  std::vector<double> share_;
  std::optional<std::vector<double>> knees_;
  std::vector<Demagnetisation> magnets_;  // one a point
};

}  // namespace polepitch
