// What a mesh of at most 4,000 triangles a pole reaches on three machines, at angles that it was not adapted to.
#include <fmt/format.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <ostream>

#include "cases/adaption.h"
#include "cases/load.h"
#include "tests/cases/case_text_helper.h"
#include "tests/physics/machine_helper.h"

namespace polepitch::test {
namespace {

struct LoadedMachine {
  std::string name;
  double start;  // density of the first mesh, so that one of the sequence comes near 4,000 triangles a pole
  Load load;     // near the rated one
};

void PrintTo(const LoadedMachine& machine, std::ostream* out) {
  *out << machine.name;
}

Load load_of(double rms_current, double current_angle_deg, double field_current, double bar_current,
             double bar_angle_deg) {
  Load load;
  load.current = std::sqrt(2.0) * rms_current;
  load.current_angle = current_angle_deg * pi / 180;
  load.field_current = field_current;
  load.bar_current = bar_current;
  load.bar_angle = bar_angle_deg * pi / 180;
  return load;
}

/// One rotor angle each.
struct Observed {
  std::vector<double> torque, x_d, x_q;
};

/// Torque and frozen inductances of both axes (X over ω), by currents of one ampere that the rotor turns with.
Observed observe(const Case& kase, const Section& section, const Mesh& mesh, const Load& load) {
  StaticField field(section, mesh, kase.materials, solver_options(kase));
  Observed seen;
  for (const double degrees : {0.4, 2.9, 5.3, 8.1, 17.0, 61.0, 102.0, 203.0, 290.0}) {
    const double angle = degrees * pi / 180 / section.pole_pairs;
    const StaticSolution solution = field.solve(excite(section, load, angle));
    seen.torque.push_back(field.torque(solution));
    for (std::vector<double>* x : {&seen.x_d, &seen.x_q}) {
      Load unit;
      unit.current = 1;
      unit.current_angle = x == &seen.x_d ? 0 : pi / 2;
      Excitation alone = excite(section, unit, angle);
      alone.magnets = 0;
      const std::vector<double> linked = field.linkages(field.solve_frozen(solution, {alone})[0]);
      double sum = 0;
      for (int phase = 0; phase < 3; ++phase) sum += linked[phase] * alone.currents[phase];
      x->push_back(sum);
    }
  }
  return seen;
}

double rms_difference(const std::vector<double>& here, const std::vector<double>& there, double scale) {
  double sum = 0;
  for (size_t k = 0; k < here.size(); ++k) {
    const double by = scale > 0 ? scale : there[k];
    sum += std::pow((here[k] - there[k]) / by, 2) / static_cast<double>(here.size());
  }
  return std::sqrt(sum);
}

class Reached : public ::testing::TestWithParam<LoadedMachine> {};

// Truth: the same elements at four times the triangles or more, whose own error is a tenth (docs/performance.md, "Third
// order"). 5e-4 of the rated torque and 1e-3 of the reactances are what the project promises (docs/quick-start.md).
TEST_P(Reached, TorqueAndReactancesAtFourThousandTrianglesAPole) {
  const auto& [name, start, load] = GetParam();
  const Case kase = read_case(std::string(SOURCE_DIR) + "/cases/machines/" + name + ".toml");
  const Section section = draw_section(kase.machine);
  AdaptRequest request;
  for (const double degrees : {1.3, 6.6, 12.1, 40.2, 77.3, 131.4})
    request.states.push_back(excite(section, load, degrees * pi / 180 / section.pole_pairs));
  request.torque_scale = per_unit_base(kase.machine).torque;
  request.accuracy = 1e-9;
  request.start_density = start;
  request.growth = 1.05;
  request.most_triangles_per_pole = 4000;
  const Mesh mesh = adapt_mesh(section, kase.materials, solver_options(kase), request).mesh;
  request.most_triangles_per_pole = 22000;
  const Mesh fine = adapt_mesh(section, kase.materials, solver_options(kase), request).mesh;
  const double count = mesh.triangles_per_pole(section.pole_pairs), most = fine.triangles_per_pole(section.pole_pairs);
  EXPECT_LE(count, 4000);
  EXPECT_GE(most, 4 * count);
  const Observed here = observe(kase, section, mesh, load), truth = observe(kase, section, fine, load);
  const double torque = rms_difference(here.torque, truth.torque, request.torque_scale),
               x_d = rms_difference(here.x_d, truth.x_d, 0), x_q = rms_difference(here.x_q, truth.x_q, 0);
  fmt::print("{} {:.0f} a pole against {:.0f}: torque {:.1e} of rated, X_d {:.1e}, X_q {:.1e}\n", name, count, most,
             torque, x_d, x_q);
  EXPECT_LE(torque, 5e-4);
  EXPECT_LE(x_d, 1e-3);
  EXPECT_LE(x_q, 1e-3);
}

INSTANTIATE_TEST_SUITE_P(Machines, Reached,
                         ::testing::Values(LoadedMachine{"salient-generator", 0.4, load_of(65, -145, 16, 0, 0)},
                                           LoadedMachine{"cage-motor", 0.25, load_of(40, 0, 0, 610, -159)},
                                           LoadedMachine{"six-pole-cage-motor", 0.28, load_of(67, 0, 0, 855, -159)}),
                         [](const auto& machine) {
                           std::string name = machine.param.name;
                           std::replace(name.begin(), name.end(), '-', '_');
                           return name;
                         });

}  // namespace
}  // namespace polepitch::test
