// Dimensions of the drawing: a length that a parameter sets is as long as the parameter says (code test: the drawing
// against the case file); lengths that follow from several, by their sums (formula).
#include "geometry/dimension.h"

#include <gtest/gtest.h>

#include <cmath>
#include <map>

#include "geometry/section.h"
#include "machine_helper.h"

namespace polepitch {
namespace {

using testing::MachineTexts;

constexpr double kRounding = 1e-9;  // m, of coordinates near 1 m

const Block& block_of(const Machine& machine, const std::string& path) {
  const std::map<std::string, const Block*> blocks = {{"stator", &machine.stator},
                                                      {"stator.slot", &machine.stator_slot},
                                                      {"rotor", &machine.rotor},
                                                      {"rotor.slot", &machine.rotor_slot}};
  return *blocks.at(path);
}

double stated(const Machine& machine, const std::string& parameter) {
  const std::size_t dot = parameter.rfind('.'), bracket = parameter.find('[');
  const Values& v = block_of(machine, parameter.substr(0, dot)).values;
  const std::string key = parameter.substr(dot + 1, bracket - dot - 1);
  return bracket == std::string::npos ? v.number(key) : v.numbers(key)[std::stoul(parameter.substr(bracket + 1))];
}

std::map<std::string, double> by_name(const Machine& machine, Side side) {
  std::map<std::string, double> lengths;
  for (const Dimension& d : dimensions_of(machine))
    if (d.side == side) lengths[d.name] = length_of(d);
  return lengths;
}

void expect_true_to_parameters(const MachineTexts& texts) {
  const Machine machine = testing::make_machine(texts);
  int checked = 0;
  for (const Dimension& d : dimensions_of(machine)) {
    EXPECT_GT(length_of(d), 0) << d.name;
    if (d.parameter.empty()) continue;
    EXPECT_NEAR(length_of(d), stated(machine, d.parameter), kRounding) << texts.rotor_type << ": " << d.parameter;
    ++checked;
  }
  EXPECT_GE(checked, 4) << texts.rotor_type;
}

TEST(Dimension, LengthsAreThoseOfTheParameters) {
  for (const MachineTexts& texts : testing::all_rotor_texts()) expect_true_to_parameters(texts);
}

TEST(Dimension, SlotShapesOnBothSides) {
  for (const CatalogueEntry& shape : slot_catalogue()) {
    if (shape.is_drawn) continue;
    MachineTexts texts = testing::cage_texts();
    texts.slot_type = shape.name, texts.slot = testing::slot_texts(shape.name, false);
    texts.rotor_slot_type = shape.name, texts.rotor_slot = testing::slot_texts(shape.name, true);
    expect_true_to_parameters(texts);
  }
}

// Behind the slots the yoke is what is left: half of outer less bore diameter less the depth of the slot.
TEST(Dimension, SlotAndYokeFillTheCore) {
  auto stator = by_name(testing::make_machine(testing::salient_texts()), Side::stator);
  EXPECT_NEAR(stator.at("slot depth") + stator.at("yoke"),
              (stator.at("outer diameter") - stator.at("bore diameter")) / 2, kRounding);
}

// The same of a stator inside its rotor, whose own ring is magnets and yoke.
TEST(Dimension, SlotAndYokeFillAnInnerStator) {
  const Machine machine = testing::make_machine(testing::outer_magnet_texts());
  auto stator = by_name(machine, Side::stator), rotor = by_name(machine, Side::rotor);
  EXPECT_NEAR(stator.at("slot depth") + stator.at("yoke"),
              (stator.at("outer diameter") - stator.at("inner diameter")) / 2, kRounding);
  EXPECT_NEAR(rotor.at("air gap"), (rotor.at("inner diameter") - stator.at("outer diameter")) / 2, kRounding);
  EXPECT_NEAR(rotor.at("magnet thickness") + rotor.at("yoke"),
              (rotor.at("outer diameter") - rotor.at("inner diameter")) / 2, kRounding);
}

// The gap closes what is between both diameters.
TEST(Dimension, GapIsHalfTheDifferenceOfDiameters) {
  const Machine machine = testing::make_machine(testing::magnet_texts());
  const double bore = by_name(machine, Side::stator).at("bore diameter");
  auto rotor = by_name(machine, Side::rotor);
  EXPECT_NEAR(rotor.at("air gap"), (bore - rotor.at("rotor diameter")) / 2, kRounding);
}

TEST(Dimension, ListsAreNumbered) {
  MachineTexts texts = testing::rotor_texts("reluctance");
  auto rotor = by_name(testing::make_machine(texts), Side::rotor);
  EXPECT_EQ(rotor.count("barrier 1 thickness"), 1U);
  EXPECT_EQ(rotor.count("barrier 1 depth"), 1U);
}

}  // namespace
}  // namespace polepitch
