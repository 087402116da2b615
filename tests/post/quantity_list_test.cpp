#include "post/quantity_list.h"

#include <gtest/gtest.h>

#include <set>
#include <stdexcept>

namespace polepitch {
namespace {

TEST(QuantityList, NamesAreUniqueAndDefinitionsAreSentences) {
  std::set<std::string> names;
  for (const QuantityDefinition& entry : quantity_list()) {
    EXPECT_TRUE(names.insert(entry.name).second) << entry.name;
    ASSERT_FALSE(entry.definition.empty()) << entry.name;
    EXPECT_EQ(entry.definition.back(), '.') << entry.name;
    EXPECT_EQ(entry.name.find(' '), std::string::npos) << entry.name;
  }
}

TEST(QuantityList, PerUnitEntriesFollowTheReactances) {
  EXPECT_EQ(quantity_definition("X_d_apparent").unit, "ohm");
  EXPECT_EQ(quantity_definition("x_d_apparent").unit, "pu");
  EXPECT_EQ(quantity_definition("x_1").unit, "pu");
}

TEST(QuantityList, QuantityCarriesUnitAndDefinition) {
  const Quantity q = quantity("torque_mean", 12.5, "annulus harmonics");
  EXPECT_EQ(q.unit, "N m");
  EXPECT_EQ(q.value, 12.5);
  EXPECT_EQ(q.definition, quantity_definition("torque_mean").definition);
}

TEST(QuantityList, UnknownNameIsRefused) {
  EXPECT_THROW(quantity_definition("torqe"), std::logic_error);
}

}  // namespace
}  // namespace polepitch
