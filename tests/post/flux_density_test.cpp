#include "post/flux_density.h"

#include <gtest/gtest.h>

#include <cmath>

#include "field_machine_helper.h"
#include "post/dq.h"

namespace polepitch {
namespace {

PartRecord part(double largest, double angle, const char* name) {
  PartRecord record;
  record.part = Gauge::Part::stator_tooth;
  record.found = true;
  record.largest = largest;
  record.at_third = 0.9 * largest;
  record.percentile99 = 1.1 * largest;
  record.worst_name = name;
  record.worst_angle = angle;
  return record;
}

Values tooth_limit(double tesla) {
  Values limits;
  limits.set("stator_tooth", {tesla, {}, true});
  return limits;
}

// Formula: the smallest value under or at which the share of the area lies.
TEST(FluxDensity, PercentileCountsArea) {
  std::vector<std::pair<double, double>> samples = {{2.0, 1}, {1.0, 97}, {1.5, 2}};
  EXPECT_EQ(percentile_by_area(samples, 0.97), 1.0);
  EXPECT_EQ(percentile_by_area(samples, 0.99), 1.5);
  EXPECT_EQ(percentile_by_area(samples, 1.0), 2.0);
  std::vector<std::pair<double, double>> none;
  EXPECT_EQ(percentile_by_area(none, 0.99), 0);
}

TEST(FluxDensity, MergeKeepsTheWorstAndItsPlace) {
  FluxDensityRecord one{{part(1.6, 0.1, "stator tooth 2")}, {}, {}}, two{{part(1.8, 0.3, "stator tooth 5")}, {}, {}};
  merge(one, two);
  EXPECT_EQ(one.parts[0].largest, 1.8);
  EXPECT_EQ(one.parts[0].worst_name, "stator tooth 5");
  EXPECT_EQ(one.parts[0].worst_angle, 0.3);
  merge(one, FluxDensityRecord{{part(1.7, 0.0, "stator tooth 1")}, {}, {}});
  EXPECT_EQ(one.parts[0].worst_name, "stator tooth 5");
}

TEST(FluxDensity, EqualPeaksNameTheSmallerAngleWhateverTheOrder) {
  FluxDensityRecord a{{part(1.6, 0.2, "late")}, {}, {}}, b{{part(1.6, 0.1, "early")}, {}, {}};
  FluxDensityRecord ab = a, ba = b;
  merge(ab, b);
  merge(ba, a);
  EXPECT_EQ(ab.parts[0].worst_name, "early");
  EXPECT_EQ(ba.parts[0].worst_name, "early");
}

TEST(FluxDensity, TableSetsPartsAgainstTheirLimits) {
  const FluxDensityRecord record{{part(1.92, 0.2181661565, "stator tooth 3")}, {}, {}};
  const FluxDensityTable over = flux_density_table(record, "operating-point", tooth_limit(1.8));
  ASSERT_EQ(over.rows.size(), 1u);
  EXPECT_EQ(over.rows[0].part, "stator tooth");
  EXPECT_EQ(over.rows[0].limit, 1.8);
  ASSERT_EQ(limit_warnings(over).size(), 1u);
  EXPECT_EQ(limit_warnings(over)[0],
            "stator tooth: 1.920 T in stator tooth 3 at 12.5 deg exceeds the limit of 1.800 T");
  EXPECT_TRUE(limit_warnings(flux_density_table(record, "operating-point", tooth_limit(2.0))).empty());
  EXPECT_FALSE(flux_density_table(record, "operating-point", {}).rows[0].limit.has_value());
}

// Formula: the flux of a tooth is the flux into it from the gap. At no load with the tooth on the pole's axis hardly
// any leaves through the slots, so the widest cut carries what enters the gap over the tooth pitch.
TEST(FluxDensity, ToothCarriesTheFluxOfItsPitch) {
  auto machine = testing::small_machine({.nonlinear = false});
  const StaticSolution solution = machine->field->solve(dq_excitation(machine->section, {}, 1, 0));
  const Gauge& tooth = machine->section.gauges[0];
  const std::vector<double> along = gauge_flux_density(*machine->field, solution, tooth);
  ASSERT_EQ(along.size(), 3u);
  const double r = solution.gap.mean_radius(), half = pi / 12;
  const double pitch_flux = solution.gap.potential(r, half) - solution.gap.potential(r, -half);
  EXPECT_NEAR(along[2] * tooth.cuts[2].width, pitch_flux, 0.01 * pitch_flux);
  EXPECT_GT(along[0], along[2]);  // the tooth widens outwards
}

TEST(FluxDensity, RecordSortsTheCoreAndFindsTheWorstAngle) {
  auto machine = testing::small_machine();
  StaticField& field = *machine->field;
  FluxDensityRecord record = flux_density_record(field);
  ASSERT_EQ(record.parts.size(), 2u);
  std::vector<double> largest;
  for (double angle : {0.0, pi / 12}) {
    const StaticSolution solution = field.solve(dq_excitation(machine->section, {}, 4, angle));
    add_field(record, field, solution);
    double worst = 0;
    for (int gauge : {0, 1}) {
      for (double b : gauge_flux_density(field, solution, machine->section.gauges[gauge])) {
        worst = std::max(worst, std::abs(b));
      }
    }
    largest.push_back(worst);
  }
  const FluxDensityTable table = flux_density_table(record, "s", tooth_limit(0.1));
  ASSERT_EQ(table.rows.size(), 2u);
  EXPECT_EQ(table.rows[0].largest, std::max(largest[0], largest[1]));
  EXPECT_EQ(table.rows[0].worst_angle, largest[0] >= largest[1] ? 0.0 : pi / 12);
  EXPECT_EQ(limit_warnings(table).size(), 1u);  // no limit is given for the yoke
  const FluxDensityRow& tooth = table.rows[0];
  EXPECT_GT(tooth.at_third, 0);
  EXPECT_LE(tooth.at_third, tooth.largest);
  EXPECT_GT(tooth.percentile99, 0.7 * tooth.largest);  // local level against the mean across: same order
  EXPECT_LT(tooth.percentile99, 2.0 * tooth.largest);
}

// The parts' areas are those of the drawing: teeth end where the yoke's gauge begins (62 mm here).
TEST(FluxDensity, PartsCoverTheStatorCore) {
  auto machine = testing::small_machine();
  const FluxDensityRecord record = flux_density_record(*machine->field);
  double area[2] = {0, 0};
  for (std::size_t t = 0; t < record.part_of.size(); ++t) {
    if (record.part_of[t] < 0 || machine->section.regions[machine->mesh.region[t]].side == Side::rotor) continue;
    for (int i = 0; i < 6; ++i) area[record.part_of[t]] += record.point_area[6 * t + i];
  }
  const double degree = pi / 180;
  const double teeth = 0.5 * (62e-3 * 62e-3 - 50e-3 * 50e-3) * (90 - 3 * 8) * degree;
  const double yoke = 0.5 * (78e-3 * 78e-3 - 62e-3 * 62e-3) * 90 * degree;
  EXPECT_NEAR(area[0], teeth, 1e-6 * teeth);
  EXPECT_NEAR(area[1], yoke, 1e-6 * yoke);
}

}  // namespace
}  // namespace polepitch
