#include "cases/material_library.h"

#include <unistd.h>

#include <filesystem>
#include <fstream>
#include <string>

#include <gtest/gtest.h>

#include "cases/bh_csv.h"

using namespace polepitch;
namespace fs = std::filesystem;

namespace {

// A folder of its own for each test, removed at the end.
class MaterialFiles : public ::testing::Test {
 protected:
  void SetUp() override {
    const auto* info = ::testing::UnitTest::GetInstance()->current_test_info();
    folder_ = fs::temp_directory_path() / ("polepitch-" + std::to_string(getpid()) + "-" + info->name());
    fs::create_directories(folder_);
  }
  void TearDown() override { fs::remove_all(folder_); }

  std::string write(const std::string& name, const std::string& text) {
    const fs::path path = folder_ / name;
    std::ofstream(path, std::ios::binary) << text;
    return path.string();
  }
  std::string material_fault(const std::string& text) {
    const std::string path = write("my-steel.toml", text);
    return fault([&] { read_material_file(path); });
  }
  std::string csv_fault(const std::string& text) {
    const std::string path = write("table.csv", text);
    return fault([&] { read_bh_csv(path); });
  }

 private:
  // "line: message (hint)" of every diagnostic; the folder is left out.
  template <class Action>
  std::string fault(Action action) {
    try {
      action();
    } catch (const Error& error) {
      std::string text = "exit " + std::to_string(static_cast<int>(error.code())) + "\n";
      for (const Diagnostic& d : error.diagnostics())
        text += fs::path(d.place.file).filename().string() + ":" + std::to_string(d.place.line) + ": " + d.message +
                " (" + d.hint + ")\n";
      return text;
    }
    return "none";
  }
  fs::path folder_;
};

#define EXPECT_SAYS(text, part) EXPECT_NE((text).find(part), std::string::npos) << (text)

const std::string steel_head = "kind = \"steel\"\nsource = \"test\"\n";

}  // namespace

TEST(MaterialLibrary, holds_what_the_catalogue_promises) {
  const Materials library = load_material_library();
  for (const char* name : {"M270-50A", "M330-50A", "M400-50A", "M530-50A", "M800-50A", "copper", "aluminium", "air",
                           "shaft-steel", "demo-steel", "demo-magnet"})
    ASSERT_EQ(library.count(name), 1u) << name;
  for (const auto& [name, material] : library) {
    EXPECT_EQ(material.name, name);
    EXPECT_FALSE(material.source.empty()) << name;
    EXPECT_EQ(material.invented, material.source == "invented") << name;  // made-up data say so in both places
    if (material.b.empty()) continue;
    EXPECT_EQ(check_bh_table(material.b, material.h).message, "") << name;
  }
}

// Published rows (Modelica Standard Library, Material.SoftMagnetic): H in A/m and J in T; B = J + mu0 H.
TEST(MaterialLibrary, steels_match_their_published_rows) {
  const Materials library = load_material_library();
  struct Row {
    const char* grade;
    double h, j;
  };
  for (const Row& row :
       {Row{"M270-50A", 250.05, 1.262}, Row{"M270-50A", 10001.65, 1.74529}, Row{"M330-50A", 500.7, 1.40426},
        Row{"M400-50A", 1501.27, 1.52464}, Row{"M400-50A", 32584.33, 1.98429}, Row{"M530-50A", 100.01, 0.57295},
        Row{"M800-50A", 2500.3, 1.64}}) {
    const BhCurve curve = library.at(row.grade).curve();
    EXPECT_NEAR(curve.h(row.j + mu0 * row.h), row.h, 1e-3 * row.h) << row.grade;  // B is kept to 1e-6 T
  }
}

// EN 10106 (memory): smallest polarisation at 2500, 5000 and 10000 A/m; the measured sheets must lie above it.
TEST(MaterialLibrary, steels_exceed_the_smallest_polarisation_of_their_grade) {
  const Materials library = load_material_library();
  struct Grade {
    const char* name;
    double j[3], density;
  };
  const double h[3] = {2500, 5000, 10000};
  for (const Grade& grade : {Grade{"M270-50A", {1.49, 1.60, 1.70}, 7600}, Grade{"M330-50A", {1.49, 1.60, 1.70}, 7650},
                             Grade{"M400-50A", {1.53, 1.63, 1.73}, 7700}, Grade{"M530-50A", {1.56, 1.65, 1.75}, 7700},
                             Grade{"M800-50A", {1.60, 1.70, 1.78}, 7800}}) {
    const Material& steel = library.at(grade.name);
    EXPECT_DOUBLE_EQ(steel.density, grade.density);
    const BhCurve curve = steel.curve();
    for (int i = 0; i < 3; ++i) EXPECT_LT(curve.h(grade.j[i] + mu0 * h[i]), h[i]) << grade.name;
  }
}

// Memory of IEC 60028 and of IEC 60034-1 (resistance proportional to 235 + t for copper, 225 + t for aluminium): both
// standards' rules agree within 0.3 per cent at 75 degC.
TEST(MaterialLibrary, conductors_at_temperature) {
  const Materials library = load_material_library();
  const Material& copper = library.at("copper");
  EXPECT_DOUBLE_EQ(copper.conductivity, 58e6);
  EXPECT_NEAR(58e6 / copper.conductivity_at(348.15), (235.0 + 75) / (235 + 20), 3e-3);
  const Material& aluminium = library.at("aluminium");
  EXPECT_NEAR(aluminium.conductivity / aluminium.conductivity_at(348.15), (225.0 + 75) / (225 + 20), 3e-3);
  EXPECT_NEAR(1 / aluminium.conductivity, 2.8264e-8, 1e-11);
}

TEST(MaterialLibrary, demo_data_are_complete) {
  const Materials library = load_material_library();
  ASSERT_TRUE(library.at("demo-steel").iron_loss.has_value());
  EXPECT_DOUBLE_EQ(library.at("demo-steel").iron_loss->classical, 9e-5);
  const Material& magnet = library.at("demo-magnet");
  EXPECT_DOUBLE_EQ(magnet.remanence, 1.15);
  EXPECT_DOUBLE_EQ(magnet.mu_r, 1.05);
  EXPECT_DOUBLE_EQ(magnet.knee_field.value(), -800e3);
  EXPECT_LT(magnet.remanence_at(393.15), magnet.remanence);
  EXPECT_FALSE(library.at("M400-50A").iron_loss.has_value());
}

TEST_F(MaterialFiles, inline_table_in_other_units) {
  const std::string path =
      write("my-steel.toml", steel_head + "h_unit = \"kA/m\"\nh = [0, 0.1, 1]\nb_unit = \"mT\"\nb = [0, 1000, 1500]\n");
  const Material steel = read_material_file(path);
  EXPECT_EQ(steel.name, "my-steel");
  EXPECT_DOUBLE_EQ(steel.h.back(), 1000);
  EXPECT_DOUBLE_EQ(steel.b.back(), 1.5);
}

TEST_F(MaterialFiles, table_from_csv_beside_the_material) {
  write("table.csv",
        "\xEF\xBB\xBF# measured\r\nB_T , remark, H_A_per_m\r\n0,a,0\r\n\r\n1.0,b,1e2\r\n 1.5 ,c, +1000\r\n");
  const Material steel = read_material_file(write("my-steel.toml", steel_head + "bh_csv = \"table.csv\"\n"));
  EXPECT_EQ(steel.b, (std::vector<double>{0, 1, 1.5}));
  EXPECT_EQ(steel.h, (std::vector<double>{0, 100, 1000}));
}

TEST_F(MaterialFiles, csv_faults_name_file_and_line) {
  EXPECT_SAYS(csv_fault("H_A_per_m,B_T\n0,0\n100,1\n200,0.9\n"), "table.csv:4: B does not rise: 0.9 T after 1 T");
  EXPECT_SAYS(csv_fault("H_A_per_m,B_T\n0,0\n# note\n100,1\n100,1.1\n"), "table.csv:5: H does not rise");
  EXPECT_SAYS(csv_fault("H_A_per_m,B_T\n0,0\n100,1\n10000,1.001\n"), "table.csv:4: the slope dB/dH is 0.08");
  EXPECT_SAYS(csv_fault("H_A_per_m,B_T\n10,0.1\n100,1\n"), "table.csv:2: the table must start at B = 0 and H = 0");
  EXPECT_SAYS(csv_fault("H_A_per_m,B_T\n0,0\n100,1.0 T\n"), "table.csv:3: B_T = \"1.0 T\" is not a number");
  EXPECT_SAYS(csv_fault("H_A_per_m,B_T\n0,0\n100\n"), "table.csv:3: the row has no value of B_T");
  EXPECT_SAYS(csv_fault("H_A_per_m;B_T\n0;0\n"), "table.csv:1: the column H_A_per_m is missing");
  EXPECT_SAYS(csv_fault("H_A_per_m,J_T\n0,0\n"), "table.csv:1: the column B_T is missing");
  EXPECT_SAYS(csv_fault("H_A_per_m,B_T,B_T\n0,0,0\n"), "table.csv:1: the column B_T stands twice");
  EXPECT_SAYS(csv_fault("H_A_per_m,B_T\n0,0\n"), "at least two rows");
  EXPECT_SAYS(csv_fault("H_A_per_m,B_T\n0,0\nnan,1\n"), "\"nan\" is not a number");
  EXPECT_SAYS(csv_fault(""), "table.csv:1: the B-H table is empty");
  EXPECT_SAYS(csv_fault("# St\xE4hle\nH_A_per_m,B_T\n0,0\n"), "table.csv:1: the file is not UTF-8 text");
  EXPECT_SAYS(csv_fault(std::string("H\0_\0", 4)), "not UTF-8");
}

// Columns counted by hand, in characters; a fault of a whole row or table has none, and none is printed.
TEST_F(MaterialFiles, csv_faults_name_the_column_of_a_field) {
  const auto said = [&](const std::string& text) {
    const std::string path = write("table.csv", text);
    try {
      read_bh_csv(path);
    } catch (const InputError& error) {
      return std::string(error.what()).substr(path.size());
    }
    return std::string("nothing");
  };
  EXPECT_EQ(said("H_A_per_m,B_T\n0,0\n100, one\n").find(":3:6: error: B_T = \"one\""), 0u);
  EXPECT_EQ(said("H_A_per_m,B_T\n0,0\n  x,1\n").find(":3:3: error: H_A_per_m = \"x\""), 0u);
  EXPECT_EQ(said("H_A_per_m,note,B_T\n0,\xC3\xA4\xC3\xB6,0\n1,\xC3\xA4\xC3\xB6,y\n").find(":3:6: error: "), 0u);
  EXPECT_EQ(said("H_A_per_m,B_T\n0,0\n100,\n").find(":3:5: error: B_T = \"\""), 0u);
  EXPECT_EQ(said("H_A_per_m,B_T\n0,0\n100,1\n200,0.9\n").find(":4: error: B does not rise"), 0u);
  EXPECT_EQ(said("H_A_per_m,B_T\n0,0\n100\n").find(":3: error: the row has no value"), 0u);
}

TEST_F(MaterialFiles, csv_faults_come_together_but_not_without_end) {
  std::string text = "H_A_per_m,B_T\n0,0\nx,1\n200,y\n";
  const std::string two = csv_fault(text);
  EXPECT_SAYS(two, "table.csv:3: H_A_per_m = \"x\"");
  EXPECT_SAYS(two, "table.csv:4: B_T = \"y\"");
  EXPECT_SAYS(two, "exit 3");
  for (int i = 0; i < 100; ++i) text += "z,1\n";
  EXPECT_SAYS(csv_fault(text), "82 more faults");
}

TEST_F(MaterialFiles, material_faults) {
  EXPECT_SAYS(material_fault(steel_head), "a steel needs a B-H table or mu_r");
  EXPECT_SAYS(material_fault("kind = \"steal\"\nsource = \"x\"\nmu_r = 5\n"), "did you mean \"steel\"?");
  EXPECT_SAYS(material_fault("kind = \"steel\"\nmu_r = 5\n"), "source is missing");
  EXPECT_SAYS(material_fault(steel_head + "mu_r = 0.1\n"), "my-steel.toml:3: mu_r = 0.1 is below the smallest");
  EXPECT_SAYS(material_fault(steel_head + "mu_r = 5\ndensity = 7800\n"), "my-steel.toml:4: density = 7800 has no unit");
  EXPECT_SAYS(material_fault(steel_head + "mu_r = 5\ndensity = \"7 T\"\n"), "my-steel.toml:4: density");
  EXPECT_SAYS(material_fault(steel_head + "mu_r = 5\ndensty = \"7800 kg/m^3\"\n"), "did you mean \"density\"?");
  EXPECT_SAYS(material_fault(steel_head + "b = [0, 1]\n"), "my-steel.toml:3: h is missing");
  EXPECT_SAYS(material_fault(steel_head + "b = [0, 1]\nh = [0, 1]\nmu_r = 5\n"), "exclude each other");
  EXPECT_SAYS(material_fault(steel_head + "b = [0, 1,\n 0.9]\nh = [0, 100, 200]\n"),
              "my-steel.toml:4: B does not rise: 0.9 T after 1 T");
  EXPECT_SAYS(material_fault(steel_head + "b = [0, 1]\nh = [0, 100, 200]\n"), "2 values of B and 3 of H");
  EXPECT_SAYS(material_fault(steel_head + "b = [0, 1]\nh = [0, 100]\nb_unit = \"mm\"\n"), "my-steel.toml:5: b_unit");
  EXPECT_SAYS(material_fault(steel_head + "bh_csv = \"none.csv\"\n"), "my-steel.toml:3: bh_csv: cannot read");
  EXPECT_SAYS(material_fault("kind = \"conductor\"\nsource = \"x\"\n"), "a conductor needs its conductivity");
  EXPECT_SAYS(material_fault("kind = \"magnet\"\nsource = \"x\"\n"), "a magnet needs its remanence");
  EXPECT_SAYS(material_fault(steel_head + "mu_r = 5\n[iron_loss]\nhysteresis = 0.1\n"),
              "iron_loss.classical is missing");
  EXPECT_SAYS(material_fault(steel_head + "mu_r = \n"), "my-steel.toml:3");
}

TEST_F(MaterialFiles, faults_of_the_csv_keep_their_own_place) {
  write("table.csv", "H_A_per_m,B_T\n0,0\n100,1\n200,0.9\n");
  EXPECT_SAYS(material_fault(steel_head + "bh_csv = \"table.csv\"\n"), "table.csv:4: B does not rise");
}

TEST_F(MaterialFiles, missing_file_is_a_file_error) {
  EXPECT_THROW(read_material_file("/nowhere/my-steel.toml"), FileError);
}
