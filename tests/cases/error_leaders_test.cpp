// What the error of one quantity makes of others', and the errors of curves (code tests: numbers made up here, expected
// values by the formulas stated).
#include "cases/error_leaders.h"

#include <gtest/gtest.h>

#include <cmath>
#include <numbers>

#include "cases/run_studies.h"

namespace polepitch {
namespace {

constexpr double kDegree = std::numbers::pi / 180;

Quantity made(const std::string& name, double value, double error, std::vector<double> samples = {}) {
  Quantity q;
  q.study = "load-point", q.name = name, q.value = value, q.error = error, q.method = "Newton on the field";
  q.samples = std::move(samples);
  return q;
}

double error_of(const std::vector<Quantity>& quantities, const std::string& name) {
  for (const Quantity& q : quantities)
    if (q.name == name) return q.error.value();
  return -1;
}

/// i_d + j i_q = I e^{jβ}: an error of β turns them into each other, a relative one of I lengthens both.
TEST(ErrorLeaders, CurrentsTurnWithTheAngleThatWasSearchedFor) {
  std::vector<Quantity> all = {made("load_angle", -12, 0.1), made("i_d", -40, 1e-3), made("i_q", 30, 1e-3),
                               made("torque_angle", -120, 0.01)};
  follow_leaders(all);
  EXPECT_NEAR(error_of(all, "i_d"), 30 * 0.1 * kDegree, 1e-12);
  EXPECT_NEAR(error_of(all, "i_q"), 40 * 0.1 * kDegree, 1e-12);
  EXPECT_NEAR(error_of(all, "torque_angle"), 0.1, 1e-12);
  all.push_back(made("I_phase", 50 / std::sqrt(2.0), 0.01 * 50 / std::sqrt(2.0)));
  follow_leaders(all);
  EXPECT_NEAR(error_of(all, "i_d"), std::hypot(30 * 0.1 * kDegree, 40 * 0.01), 1e-12);
  std::vector<Quantity> given = {made("i_d", -40, 1e-3), made("i_q", 30, 1e-3)};
  follow_leaders(given);
  EXPECT_EQ(error_of(given, "i_d"), 1e-3);
}

/// Torque by other formulas has at least the error by which it differs from the gap's, root of the mean square.
TEST(ErrorLeaders, TorqueByOtherFormulasIsJudgedByTheGaps) {
  std::vector<Quantity> all = {made("torque_mean", 10, 0.01, {9, 11}),
                               made("torque_arkkio_stator", 10.05, 0.02, {9.3, 10.8}),
                               made("torque_virtual_work_rotor", 10, 0.02, {9.001, 10.999})};
  follow_leaders(all);
  EXPECT_NEAR(error_of(all, "torque_arkkio_stator"), std::sqrt((0.09 + 0.04) / 2), 1e-12);
  EXPECT_EQ(error_of(all, "torque_virtual_work_rotor"), 0.02);
}

TEST(ErrorLeaders, ScaleOfAMutualReactanceIsTheGeometricMean) {
  const std::vector<Quantity> all = {made("X_d_apparent", 4, 0), made("X_q_apparent", 2.25, 0),
                                     made("X_dq_apparent", 0.1, 0), made("X_qd_incremental", 0.1, 0)};
  EXPECT_DOUBLE_EQ(scale_of_mutual(all[2], all), 3);
  EXPECT_EQ(scale_of_mutual(all[3], all), 0);  // no incremental ones beside it
  EXPECT_EQ(scale_of_mutual(all[0], all), 0);
}

ResultCurve curve(std::vector<Column> columns) {
  return {"torque-angle", "static_torque", "a curve", std::move(columns), false};
}

SolvedStudies study_of(ResultCurve c) {
  SolvedStudies solved;
  StudyResult result;
  result.results.quantities = {made("torque_mean", 1, 0)};
  result.results.curves = {std::move(c)};
  solved.studies.push_back(std::move(result));
  return solved;
}

/// error² = (factor Δ)² + (0.7 ε size)², Δ and size as roots of mean squares (theory.md, 40): a column that hardly
/// differs between the meshes keeps the floor; one in which no mesh enters has no error at all.
TEST(ErrorLeaders, CurvesHaveTheFloorThatQuantitiesHave) {
  const Column angle{"angle", "deg", {0, 1, 2}}, given{"rotor_angle", "deg", {10, 11, 12}};
  const Column flux{"lambda_d", "Wb", {3, 4, 0}}, noise{"torque", "N m", {0, 0, 0}};
  Column other = flux;
  other.values = {3 + 1e-7, 4, 0};
  SolvedStudies fine = study_of(curve({angle, given, flux, noise}));
  CaseMeshes meshes;
  meshes.error_factor = 1;
  meshes.relative_error = 1e-3;
  attach_errors(fine, study_of(curve({angle, given, other, noise})), meshes);
  const std::vector<Column>& columns = fine.studies[0].results.curves[0].columns;
  EXPECT_FALSE(columns[1].error.has_value());
  EXPECT_NEAR(columns[2].error.value_or(0), 0.7 * 1e-3 * 5 / std::sqrt(3.0), 1e-9);
  EXPECT_FALSE(columns[3].error.has_value());
}

}  // namespace
}  // namespace polepitch
