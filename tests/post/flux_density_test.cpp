#include "post/flux_density.h"

#include <gtest/gtest.h>

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

}  // namespace
}  // namespace polepitch
