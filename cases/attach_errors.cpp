// Errors from two meshes: docs/theory.md, "Error".
#include <algorithm>
#include <cmath>
#include <map>
#include <optional>
#include <string>
#include <string_view>
#include <tuple>

#include "cases/error_leaders.h"
#include "cases/run_studies.h"

namespace polepitch {
namespace {

using At = std::vector<std::pair<std::string, std::string>>;
using Key = std::tuple<std::string, std::string, At>;

/// Operating points that a study searches (a torque angle) differ between meshes by their own error: they are told
/// apart by their keys and, when given, their text.
Key key_of(const Quantity& q) {
  auto at = q.at;
  for (auto& [name, text] : at)
    if (name == "torque_angle" || name == "where") text.clear();
  return {q.study, q.name, at};
}

/// Root of the mean square of the differences; −1 where the lists do not go together.
double difference(const std::vector<double>& one, const std::vector<double>& other) {
  if (one.empty() || one.size() != other.size()) return -1;
  double sum = 0;
  for (size_t i = 0; i < one.size(); ++i) sum += (one[i] - other[i]) * (one[i] - other[i]);
  return std::sqrt(sum / static_cast<double>(one.size()));
}

/// Angles and MMFs of given currents hardly know the mesh: no share of the field's error is put on them. Where currents
/// are searched for on the field, they change with it; field currents and the angles of most torque, per ampere and at
/// held voltage, even where both meshes agree by luck.
bool knows_the_field(const Quantity& q, double relative_change) {
  return (q.unit != "deg" && q.unit != "A") || q.name.starts_with("i_field") || q.name == "current_angle_mtpa" ||
         q.name.find("pull_out_angle") != std::string::npos || relative_change > 1e-5;
}

// Fitted to 47 quantities, nine angles and twenty meshes of three machines (tests/physics/error_quality_test.cpp), so
// that 95 of 100 true errors are below twice the estimate and the median is not below 0.3 of it. Over the factor that
// the adaption itself uses, which is to be met on the average. Torque needs less.
constexpr double kSafety = 2.15 / 1.2, kTorqueSafety = 1.8 / 1.2;
// Weights of the meshes' difference: more for what the gap's harmonics alone make (differential leakage, harmonic
// content), for leakages, for mutual and incremental reactances, for the corners of pole shoes, for means and
// for voltages.
constexpr std::pair<std::string_view, double> kWeights[] = {{"_differential", 1.3},
                                                            {"B_r_harmonic_content", 1.25},
                                                            {"_l", 1.25},
                                                            {"_tooth_tip", 1.12},
                                                            {"_slot", 1.12},
                                                            {"_d_incremental", 1.1},
                                                            {"_q_incremental", 1.1},
                                                            {"_dq_incremental", 1.1},
                                                            {"_qd_incremental", 1.1},
                                                            {"B_pole_shoe", 1.4},
                                                            {"B_r_mean", 1.1},
                                                            {"E_", 1.25}};
constexpr double kTeeth = 0.8;     // for the largest of many teeth, whose differences all count
constexpr double kLeast = 0.7;     // of the linkages' relative error
constexpr double kStresses = 0.7;  // of the gap field's, in torque
constexpr double kStressesOfOne = 0.07;
constexpr double kPartsOfLoss = 2.5;
constexpr double kHarmonics = 3;  // of the fundamental: a voltage weighs its linkage's harmonics by their order

double error_of(double change, double least, const std::string& unit, const CaseMeshes& meshes) {
  return std::hypot((unit == "N m" ? kTorqueSafety : kSafety) * meshes.error_factor * change, kLeast * least);
}

bool is_iron_loss(const std::string& name) {
  for (const std::string_view part : {"iron_loss", "hysteresis_loss", "classical_loss", "excess_loss"})
    if (name.starts_with(part)) return true;
  return false;
}

/// What slots make of the flux density, and small corners, weighs most in these.
bool is_small_part_of_loss(const std::string& name) {
  return name.starts_with("classical_loss") || name.starts_with("excess_loss") || name.starts_with("iron_loss_rotor");
}

/// What the two meshes' difference of a quantity counts, beside that of others.
double weight_of_change(const std::string& name) {
  if (name.starts_with("B_") && name.find("_tooth") != std::string::npos) return kTeeth;
  const bool reactance = name.starts_with("X_") || name.starts_with("x_");
  for (const auto& [begin, weight] : kWeights)
    if (std::string_view(name).substr(reactance ? 1 : 0).starts_with(begin)) return weight;
  return 1;
}

/// Shares of a voltage's fundamental.
bool is_share_of_harmonics(const std::string& name) {
  return name.starts_with("emf_distortion") || name == "harmonic_voltage_factor";
}

/// Angles and currents of what is given: turns and areas alone make them, and the mesh's round-off is no error.
bool is_given(const std::string& unit, double relative_change) {
  return (unit == "deg" || unit == "A") && relative_change < 1e-8;
}

/// What the field's relative error makes of a quantity, whatever its own difference (theory.md, "Error").
double least_of(const Quantity& q, double change, const CaseMeshes& meshes, bool searched) {
  if (!knows_the_field(q, std::abs(change / q.value))) return 0;
  // At single positions torque is the balance of far greater stresses. Where the power is given, so is the mean of the
  // torque, and its positions' differences between meshes say less than with given currents, which the fit is for.
  if ((q.name == "torque_mean" && searched && q.samples.size() > 1) || q.name == "torque_cogging")
    return meshes.relative_error * std::max(std::abs(q.value), kStresses * meshes.gap_torque);
  // A single position of given currents has nothing beside it that would tell of luck.
  if (q.name == "torque_mean" && !searched && q.samples.size() <= 1)
    return meshes.relative_error * std::max(std::abs(q.value), kStressesOfOne * meshes.gap_torque);
  if (is_share_of_harmonics(q.name)) return kHarmonics * meshes.relative_error;
  if (q.name == "power_balance") return meshes.relative_error;  // a share of powers that follow the linkages
  // Linkages are known as well as energies, flux densities as well as their square roots; loss depends on both.
  if (is_iron_loss(q.name))
    return (is_small_part_of_loss(q.name) ? kPartsOfLoss : 1) * std::pow(meshes.relative_error, 0.75) *
           std::abs(q.value);
  return meshes.relative_error * std::abs(q.value);
}

/// The same quantity of the other axis: "X_d_apparent" and "X_q_apparent", "X_ad" and "X_aq", "lambda_d" and
/// "lambda_q"; the mutual one the other way round, "X_dq" and "X_qd". The name itself where there is none.
std::string other_axis(const std::string& name) {
  std::string other = name;
  if (const size_t at = mutual_at(name); at != std::string::npos) {
    std::swap(other[at], other[at + 1]);
    return other;
  }
  for (size_t i = 1; i < name.size(); ++i) {
    const bool letter = name[i] == 'd' || name[i] == 'q';
    const bool ends = i + 1 == name.size() || name[i + 1] == '_';
    const bool begins = name[i - 1] == '_' || (name[i - 1] == 'a' && i >= 2 && name[i - 2] == '_');
    if (letter && ends && begins) other[i] = name[i] == 'd' ? 'q' : 'd';
  }
  return other;
}

/// Root of the mean square of both; the own one alone where there are no candidates, or others on the coarser mesh
/// (−1).
double with_candidates(double own, double of_candidates) {
  return of_candidates >= 0 ? std::hypot(own, of_candidates) / std::sqrt(2.0) : std::abs(own);
}

double change_of(const Quantity& q, const Quantity& coarser) {
  const double over_positions = difference(q.samples, coarser.samples);
  if (over_positions >= 0) return over_positions;
  return with_candidates(q.value - coarser.value, difference(q.candidates, coarser.candidates));
}

using Changes = std::map<Key, double>;

/// Both axes' values come from the same elements: the root of the mean square over both.
double pooled_change(const Changes& changes, const Key& key) {
  Key other = key;
  std::get<1>(other) = other_axis(std::get<1>(key));
  const auto own = changes.find(key), partner = changes.find(other);
  if (partner == changes.end()) return own->second;
  return std::sqrt(0.5 * (own->second * own->second + partner->second * partner->second));
}

void attach_to(std::vector<Quantity>& quantities, const std::map<Key, const Quantity*>& coarser,
               const CaseMeshes& meshes) {
  Changes changes;
  for (const Quantity& q : quantities)
    if (const auto it = coarser.find(key_of(q)); it != coarser.end()) changes[key_of(q)] = change_of(q, *it->second);
  const bool searched =
      std::any_of(quantities.begin(), quantities.end(), [](const Quantity& q) { return q.name == "load_angle"; });
  for (Quantity& q : quantities) {
    const Key key = key_of(q);
    if (q.exact || changes.count(key) == 0) continue;
    // A study may know of an error beside the mesh's, such as the step of a search.
    const double change = pooled_change(changes, key);
    if (!q.error && is_given(q.unit, std::abs(change / q.value))) continue;
    // Energies that two fields have in common are known as well as the geometric mean of both fields' own.
    const double least =
        std::max(least_of(q, change, meshes, searched), meshes.relative_error * scale_of_mutual(q, quantities));
    q.error = std::max(q.error.value_or(0), error_of(weight_of_change(q.name) * change, least, q.unit, meshes));
  }
  follow_leaders(quantities);
}

double root_mean_square(const std::vector<double>& values) {
  return difference(values, std::vector<double>(values.size(), 0.0));
}

/// None of what no mesh enters: given values, and columns that are nothing but round-off.
std::optional<double> error_of_column(const Column& column, const Column& coarser, bool cogging,
                                      const CaseMeshes& meshes) {
  const double change = difference(column.values, coarser.values), size = root_mean_square(column.values);
  if (!(change > 1e-9 * size)) return {};
  const bool given = (column.unit == "deg" || column.unit == "A") && change < 1e-5 * size;
  const double least = cogging ? std::max(size, kStresses * meshes.gap_torque) : size;
  return error_of(change, given ? 0 : meshes.relative_error * least, column.unit, meshes);
}

/// Curves over the same abscissa; where a study searched for it, its points are not the same and the curve has none.
void attach_to(std::vector<ResultCurve>& curves, const std::vector<ResultCurve>& coarser, const CaseMeshes& meshes) {
  for (size_t k = 0; k < curves.size() && k < coarser.size(); ++k) {
    std::vector<Column>& columns = curves[k].columns;
    const std::vector<Column>& others = coarser[k].columns;
    if (columns.size() != others.size() || columns.empty() || columns[0].values != others[0].values) continue;
    for (size_t c = 1; c < columns.size(); ++c)
      columns[c].error = error_of_column(columns[c], others[c], curves[k].name == "cogging", meshes);
  }
}

void attach_to(std::vector<FluxDensityTable>& tables, const std::vector<FluxDensityTable>& coarser,
               const CaseMeshes& meshes) {
  for (size_t t = 0; t < tables.size() && t < coarser.size(); ++t)
    for (FluxDensityRow& row : tables[t].rows)
      for (const FluxDensityRow& other : coarser[t].rows)
        if (row.part == other.part)
          row.error = error_of(with_candidates(row.largest - other.largest, difference(row.each, other.each)),
                               meshes.relative_error * std::abs(row.largest), "T", meshes);
}

}  // namespace

void attach_errors(SolvedStudies& solved, const SolvedStudies& coarser, const CaseMeshes& meshes) {
  std::map<Key, const Quantity*> former;
  std::map<std::string, const Results*> results;
  for (const StudyResult& study : coarser.studies)
    for (const Quantity& q : study.results.quantities) {
      former[key_of(q)] = &q;
      results[q.study] = &study.results;
    }
  for (StudyResult& study : solved.studies) {
    attach_to(study.results.quantities, former, meshes);
    if (study.results.quantities.empty()) continue;
    const auto it = results.find(study.results.quantities.front().study);
    if (it == results.end()) continue;
    attach_to(study.results.curves, it->second->curves, meshes);
    attach_to(study.results.flux_tables, it->second->flux_tables, meshes);
  }
}

}  // namespace polepitch
