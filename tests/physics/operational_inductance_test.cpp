// Operational inductances of machines at rest: a field winding alone in closed form, end rings by their textbook
// factor, powers that close.
#include "post/operational_inductance.h"

#include <gtest/gtest.h>

#include <cmath>
#include <numbers>

#include "post/axis_circuit.h"
#include "post/cage_data.h"
#include "post/dq.h"
#include "post/reactances.h"
#include "tests/cases/case_text_helper.h"
#include "tests/physics/machine_helper.h"
#include "tests/verification_helper.h"

namespace polepitch::test {
namespace {

using Complex = std::complex<double>;
constexpr double pi = std::numbers::pi;

std::vector<std::vector<double>> axis_sources(const Section& section, double angle) {
  std::vector<std::vector<double>> sources = {dq_excitation(section, {1, 0, 0}, 0, angle).currents,
                                              dq_excitation(section, {0, 1, 0}, 0, angle).currents};
  if (field_branch(section) >= 0) sources.push_back(dq_excitation(section, {}, 1, angle).currents);
  return sources;
}

std::vector<double> bar_conductivity(const TestMachine& machine) {
  std::vector<double> list;
  for (const Region& region : machine.section.regions)
    list.push_back(region.role == Role::bar ? machine.kase.materials.at(region.material).conductivity_at(293.15) : 0);
  return list;
}

StandstillModes modes_of(const TestMachine& machine, const std::vector<double>& conductivity, double angle = 0) {
  StandstillField field(machine.section, machine.mesh, machine.kase.materials);
  StaticSolution rest;
  rest.rotor_angle = angle;
  return field.solve(rest, {axis_sources(machine.section, angle), conductivity, 2 * pi * 1e-3, 2 * pi * 1e3});
}

StandstillCircuit circuit_of(const TestMachine& machine) {
  StandstillCircuit c;
  c.sectors = machine.section.sectors, c.sign = machine.section.sign, c.length = machine.section.length;
  return c;
}

/// Laminated machine of constant permeability whose only rotor circuit is the field winding: L_d(s) has one pole, at
/// T'_do = L_ff/R_f of eq. 35b, and comes from L_d to L'_d of eq. 35a (formula), both of the frozen field.
TEST(OperationalInductance, FieldWindingAloneIsTheClosedForm) {
  std::string text = replaced(case_text("salient"), "\"M400-50A\"", "\"linear-steel\"");
  text = replaced(text, "\"demo-steel\"", "\"linear-steel\"\nshaft_material = \"linear-steel\"");
  auto machine = make_machine(text, 0.4);
  StaticField& field = *machine->field;
  Excitation none;
  none.currents.assign(machine->section.branches.size(), 0.0);
  const FrozenInductances frozen = frozen_inductances(field, field.solve(none), 1e-4);
  const double omega = 2 * pi * 50;
  const Reactances x = reactances(frozen, omega);
  StandstillCircuit c = circuit_of(*machine);
  c.end_winding = 1e-4, c.field = true, c.field_resistance = 2.5;
  const StandstillModes modes = modes_of(*machine, std::vector<double>(machine->section.regions.size(), 0.0));
  const double t_do = frozen.apparent.ff / c.field_resistance;
  const double l_d = frozen.apparent.dd, transient = x.transient / omega;
  const double t_d = t_do * transient / l_d;
  for (double w : {0.01, 1.0, 30.0, 300.0}) {
    const Complex s{0, w}, expected = l_d * (1.0 + s * t_d) / (1.0 + s * t_do);
    const OperationalInductances l = operational_inductances(modes, c, s);
    record_check(fmt::format("field winding alone, {} rad/s: L_d(s) over L_d (1 + s T'_d)/(1 + s T'_do)", w),
                 std::abs(l.d / expected), 1, 1e-8, "1", "eq. 35a, 35b (formula)", kClosedForm);
    EXPECT_NEAR(std::abs(l.d - expected) / l_d, 0, 1e-8) << w;
    EXPECT_NEAR(std::abs(l.g * (1.0 + s * t_do) - frozen.apparent.df / c.field_resistance), 0, 1e-8) << w;
    // No circuit on q; the mesh is not quite its own mirror image, and lets the field winding link 1e-5 of it.
    EXPECT_NEAR(std::abs(l.q - frozen.apparent.qq), 0, 1e-4 * l_d) << w;
    EXPECT_NEAR(std::abs(l.d_open - l_d), 0, 1e-8 * l_d) << w;
  }
}

/// formula (textbooks): ring pieces add R_segment/(2 sin²(πp/Q)) to a bar. At a low frequency the rotor's part of the
/// inductance is −jω L_m²/R_2. Iron of constant permeability; the winding's harmonics, a percent of the rotor's current
/// here, meet another factor: 5e-3.
TEST(OperationalInductance, RingsActByTheTextbooksFactor) {
  std::string text = read_text_file(SOURCE_DIR "/cases/machines/cage-motor.toml");
  text.resize(text.find("[[study]]"));
  text = replaced(replaced(text, "\"M400-50A\"", "\"linear-steel\""), "\"shaft-steel\"", "\"linear-steel\"");
  auto machine = make_machine(text, 0.3);
  const StandstillModes modes = modes_of(*machine, bar_conductivity(*machine));
  const CageData cage = cage_data(machine->section, {}, machine->kase.materials, 293.15);
  StandstillCircuit c = circuit_of(*machine);
  const auto loss_part = [&](double resistance) {
    c.rings.assign(modes.bar_branch.size(), {true, resistance, 0});
    return operational_inductances(modes, c, {0, 2 * pi * 0.01}).d.imag();
  };
  const double segment = 2e-6, ratio = loss_part(0) / loss_part(segment);
  const double expected = bar_with_rings(cage.bar, segment, 2, cage.bars) / cage.bar;
  record_check("rotor resistance with rings over that of the bars", ratio, expected, 5e-3 * expected, "1",
               "R_segment/(2 sin^2(pi p/Q)) to R_bar (formula)", kClosedForm);
  // Bars joined pole by pole, or not at all, carry less: L_d loses less of itself.
  const auto missing = [&](double w) {
    return std::abs(operational_inductances(modes, c, {0, w}).d - operational_inductances(modes, c, 0.0).d);
  };
  c.rings.assign(modes.bar_branch.size(), {true, 0, 0});
  const double round = missing(100);
  c.rings.back().joined = false;
  const double by_pole = missing(100);
  c.rings.clear();
  EXPECT_GT(round, by_pole);
  EXPECT_GT(by_pole, missing(100));
}

/// The stator's power is the loss in bars, rings and field winding: by parts that are computed apart (code test).
TEST(OperationalInductance, PowersClose) {
  std::string text = read_text_file(SOURCE_DIR "/cases/machines/damper-generator.toml");
  text.resize(text.find("[[study]]"));
  auto machine = make_machine(text, 0.3);
  const std::vector<double> conductivity = bar_conductivity(*machine);
  const double angle = 0.05;
  StandstillField field(machine->section, machine->mesh, machine->kase.materials);
  StaticSolution state = machine->field->solve(dq_excitation(machine->section, {-50, -20, 0}, 10, angle));
  const StandstillModes modes =
      field.solve(state, {axis_sources(machine->section, angle), conductivity, 2 * pi * 1e-3, 2 * pi * 1e3});
  StandstillCircuit c = circuit_of(*machine);
  c.field = true, c.field_resistance = 4;
  c.rings.assign(modes.bar_branch.size(), {true, 1e-5, 1e-8});
  c.rings.back().resistance = 4e-5;
  for (double omega : {1.0, 50.0, 2000.0}) {
    const Complex s{0, omega};
    const OperationalInductances l = operational_inductances(modes, c, s);
    const StandstillInputs inputs = standstill_inputs(modes, c, s);
    const std::vector<Complex> a = field.potential(modes, s, inputs.d);
    const std::vector<Complex> gradient = StandstillInputs::gradient(inputs.d, modes.sources());
    double loss = 0.5 * c.field_resistance * std::norm(inputs.d[2]);
    for (double part : field.losses(modes, a, omega, conductivity, gradient)) loss += part;
    for (size_t k = 0; k < gradient.size(); ++k) {  // 2 z J = L (u_next − u), two rings, one piece a bar and sector
      const bool last = k + 1 == gradient.size();
      const Complex drop = c.length * (gradient[last ? 0 : k + 1] * (last ? c.sign : 1.0) - gradient[k]);
      const RingPiece& piece = c.rings[k];
      loss += c.sectors * piece.resistance * std::norm(drop / (2.0 * (piece.resistance + s * piece.inductance)));
    }
    EXPECT_NEAR(1.5 * 0.5 * std::real(s * l.d), loss, 1e-5 * loss) << omega;
  }
}

}  // namespace
}  // namespace polepitch::test
