#include "cases/former_results.h"

#include <gtest/gtest.h>

#include <filesystem>
#include <fstream>

namespace polepitch {
namespace {

TEST(FormerResults, GoAndEverythingElseStays) {
  namespace fs = std::filesystem;
  const fs::path directory = fs::path(testing::TempDir()) / "former_results";
  fs::remove_all(directory);
  fs::create_directories(directory / "field");
  const auto touch = [&](const char* name) { std::ofstream(directory / name) << "x"; };
  const char* former[] = {"summary.json",
                          "section.png",
                          "stator_dimensions.svg",
                          "rotor_dimensions.png",
                          "mesh.svg",
                          "description_mmf.csv",
                          "torque-angle_field.png",
                          "reactances-2_curve.csv",
                          "field/rotating-field_003.vtu",
                          "field/rotating-field.pvd"};
  const char* own[] = {"machine.toml",           "torque-angles.png", "my torque-angle_field.png",
                       "torque-angle_notes.txt", "field/notes.vtu",   "section.toml"};
  for (const char* name : former) touch(name);
  for (const char* name : own) touch(name);
  remove_former_results(directory.string());
  for (const char* name : former) EXPECT_FALSE(fs::exists(directory / name)) << name;
  for (const char* name : own) EXPECT_TRUE(fs::exists(directory / name)) << name;
  remove_former_results((directory / "not there").string());
}

}  // namespace
}  // namespace polepitch
