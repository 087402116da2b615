// Ranges: Kundur, Power System Stability and Control (memory), as the header says.
#include "post/usual_ranges.h"

#include <gtest/gtest.h>

namespace polepitch {
namespace {

Quantity per_unit(const std::string& name, double value) {
  Quantity q;
  q.study = "reactances";
  q.name = name;
  q.value = value;
  return q;
}

TEST(UsualRanges, FlagWhatLiesOutside) {
  const std::vector<Quantity> quantities = {per_unit("x_d_apparent", 1.8), per_unit("x_q_apparent", 1.7),
                                            per_unit("x_d_transient", 0.25)};
  EXPECT_TRUE(unusual_reactances("cylindrical", 2e6, quantities).empty());
  const std::vector<std::string> hydro = unusual_reactances("salient-pole", 2e6, quantities);
  ASSERT_EQ(hydro.size(), 2u);  // x_d over 1.5, x_q over 1.0
  EXPECT_NE(hydro[0].find("reactances: x_d_apparent = 1.8 per unit"), std::string::npos) << hydro[0];
  EXPECT_NE(hydro[0].find("salient poles above 100 kVA, 0.6 to 1.5"), std::string::npos) << hydro[0];
}

TEST(UsualRanges, KnowTheirMachines) {
  const std::vector<Quantity> odd = {per_unit("x_d_apparent", 9)};
  EXPECT_TRUE(unusual_reactances("salient-pole", 99e3, odd).empty());
  EXPECT_TRUE(unusual_reactances("surface-magnet", 2e6, odd).empty());
  EXPECT_EQ(unusual_reactances("cylindrical", 100e3, odd).size(), 1u);
}

}  // namespace
}  // namespace polepitch
