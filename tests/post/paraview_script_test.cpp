// The script for ParaView gets the names and colours of the run; house.paraview runs it.
#include "post/paraview_script.h"

#include <gtest/gtest.h>

namespace polepitch {
namespace {

TEST(ParaviewScript, StudiesAndColoursAreFilledIn) {
  const std::string script = paraview_script({"slip", "slip-2"});
  EXPECT_NE(script.find("\nSTUDIES = [\"slip\",\"slip-2\"]"), std::string::npos);
  EXPECT_EQ(script.find("PALETTE = []"), std::string::npos);
  EXPECT_EQ(script.find("STUDIES = []"), std::string::npos);
}

}  // namespace
}  // namespace polepitch
