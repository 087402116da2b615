// Standstill field by modes: skin effect of solid rings against a layered solution with Bessel functions, direct
// current against the Newton tangent, single frequencies against the time-harmonic solver, losses that close.
#include "solver/standstill_field.h"

#include <gtest/gtest.h>

#include <cmath>
#include <numbers>

#include "post/dq.h"
#include "solver/time_harmonic_field.h"
#include "tests/cases/case_text_helper.h"
#include "tests/physics/layered_eddy_helper.h"
#include "tests/physics/machine_helper.h"
#include "tests/verification_helper.h"

namespace polepitch::test {
namespace {

using Complex = std::complex<double>;
constexpr double pi = std::numbers::pi;

std::string solid_rotor() {
  std::string text = read_text_file(SOURCE_DIR "/cases/machines/solid-rotor-machine.toml");
  text.resize(text.find("[[study]]"));
  return text;
}

std::vector<double> solid_conductivity(const TestMachine& machine) {
  std::vector<double> list;
  for (const Region& region : machine.section.regions)
    list.push_back(is_solid_part(region) ? machine.kase.materials.at(region.material).conductivity_at(293.15) : 0);
  return list;
}

/// One phase alone under 1 A: mean A of its two zones apart [H for a metre].
Complex layered_linkage(double omega) {
  LayeredMachine m;
  m.rotor = {{0.02, 30, 1.6e6}, {0.03, 1, 3.72e7}};
  m.shell_inner = 0.032, m.shell_outer = 0.052, m.steel_outer = 0.057, m.steel_mu_r = 30, m.zone_width = pi / 4;
  const double area = pi / 8 * (0.052 * 0.052 - 0.032 * 0.032);
  m.zones = {{-pi / 2, 1 / area}, {pi / 2, -1 / area}};
  const LayeredResult l = layered_field(m, omega, 0);
  return l.zone_potential[0] - l.zone_potential[1];
}

/// Skin effect of steel and aluminium rings, each several skin depths thick at the top (formula: modified Bessel
/// functions in each harmonic). 1e-4 up to 60 Hz, the mesh's error at this density; edges of 1.5 mm at 1 kHz, where the
/// skin depth of both is 2.5 mm, leave 1e-3.
TEST(StandstillField, SolidRingsHaveTheLayeredSolutionsSkinEffect) {
  auto machine = make_machine(solid_rotor(), 1.3);
  StandstillField field(machine->section, machine->mesh, machine->kase.materials);
  StandstillRequest request{{{1, 0, 0}}, solid_conductivity(*machine), 2 * pi * 1e-3, 2 * pi * 1e3};
  const StandstillModes modes = field.solve({}, request);
  EXPECT_LT(modes.change, 1e-5);
  for (double f : {0.01, 1.0, 10.0, 60.0, 300.0, 1000.0}) {
    const Complex s{0, 2 * pi * f};
    const Complex found = modes.at(s)[0] * static_cast<double>(machine->section.sectors);
    const Complex exact = layered_linkage(2 * pi * f);
    const double tolerance = f > 100 ? 1e-3 : 1e-4;
    record_check(fmt::format("solid rotor at rest, {} Hz: inductance over the layered solution's", f),
                 std::abs(found / exact), 1, tolerance, "1", "Bessel functions in each ring (formula)", kClosedForm);
    record_check(fmt::format("solid rotor at rest, {} Hz: phase of the same", f), std::arg(found / exact), 0, tolerance,
                 "rad", "Bessel functions in each ring (formula)", kClosedForm);
  }
}

/// The same equations at one frequency by complex LU: what the projection leaves is far below its tolerance. A code
/// test.
TEST(StandstillField, ModesAgreeWithTheTimeHarmonicSolver) {
  auto machine = make_machine(solid_rotor(), 0.4);
  StandstillField field(machine->section, machine->mesh, machine->kase.materials);
  StandstillRequest request{{{1, -0.5, -0.5}}, solid_conductivity(*machine), 2 * pi * 1e-3, 2 * pi * 1e3};
  const StandstillModes modes = field.solve({}, request);
  TimeHarmonicField direct(machine->section, machine->mesh, machine->kase.materials);
  for (double f : {0.0137, 0.9, 50.0, 730.0}) {
    const double omega = 2 * pi * f;
    const HarmonicSolution s = direct.solve({{1, -0.5, -0.5}, omega, 0, 0}, GapCoupling::all_harmonics);
    const std::vector<Complex> linkage = direct.linkages(s);
    const Complex expected = linkage[0] - 0.5 * (linkage[1] + linkage[2]);
    const Complex found =
        modes.at({0, omega})[0] * static_cast<double>(machine->section.sectors) * machine->section.length;
    EXPECT_NEAR(std::abs(found - expected) / std::abs(expected), 0, 1e-6) << f;
    // Poynting: the source's power is the loss in the solid parts.
    const std::vector<Complex> a = field.potential(modes, {0, omega}, {1.0});
    double loss = 0;
    for (double l : field.losses(modes, a, omega, request.conductivity, {})) loss += l;
    EXPECT_NEAR(loss, 0.5 * std::real(Complex{0, omega} * found), 1e-5 * loss) << f;
  }
}

/// At zero frequency it is the Newton tangent about a loaded state (code test), and about no field that of the initial
/// permeability.
TEST(StandstillField, DirectCurrentIsTheNewtonTangent) {
  auto machine = make_machine(case_text("salient"), 0.4);
  const Section& section = machine->section;
  for (bool loaded : {true, false}) {
    StaticSolution state;
    if (loaded)
      state = machine->field->solve(load_excitation(section, 0.1));
    else
      state.a.assign(machine->mesh.nodes.size(), 0.0), state.rotor_angle = 0.1;
    Excitation unit = dq_excitation(section, {1, 0, 0}, 0, 0.1);
    unit.magnets = 0;
    const StaticSolution change = machine->field->solve_tangent(state, {unit})[0];
    const double expected = phases_to_dq(section, machine->field->linkages(change), 0.1).d;
    StandstillField field(section, machine->mesh, machine->kase.materials);
    StaticSolution bare = state;
    if (!loaded) bare.a.clear();
    std::vector<double> none(section.regions.size(), 0.0);
    const StandstillModes modes = field.solve(bare, {{unit.currents}, none, 1e-2, 1e3});
    const double found = modes.at(0.0)[0].real() * section.sectors * section.length * 2 / 3;
    EXPECT_NEAR(found, expected, 1e-9 * expected) << loaded;
    EXPECT_NEAR(std::abs(modes.at(Complex{0, 500})[0] - modes.at(0.0)[0]), 0, 1e-12);  // nothing conducts
  }
}

}  // namespace
}  // namespace polepitch::test
