// Fields stepped in time against closed forms: an R-L circuit, eddy currents in a solid cylinder; order of the scheme,
// its own energy balance and the physical one.
#include "solver/transient_field.h"

#include <gtest/gtest.h>

#include <cmath>
#include <numbers>

#include "solver/circuits.h"
#include "tests/cases/case_text_helper.h"
#include "tests/physics/machine_helper.h"
#include "tests/verification_helper.h"

namespace polepitch::test {
namespace {

constexpr double pi = std::numbers::pi;

std::string ready_case(const std::string& name) {
  std::string text = read_text_file(std::string(SOURCE_DIR) + "/cases/machines/" + name + ".toml");
  text.resize(text.find("[[study]]"));
  return text;
}

Materials concentric_materials(double stator_mu_r) {
  Material aluminium;
  aluminium.name = "benchmark-aluminium", aluminium.kind = "conductor", aluminium.conductivity = 3.72e7;
  Material steel;
  steel.name = "linear-steel", steel.kind = "steel", steel.conductivity = 1.6e6, steel.mu_r = stator_mu_r;
  return {{"benchmark-aluminium", aluminium}, {"linear-steel", steel}};
}

/// A lone aluminium cylinder of 20 mm in the winding shell of TEAM Workshop Problem 30a, everything of permeability μ0,
/// unbounded.
std::string lone_cylinder() {
  std::string text = replaced(ready_case("solid-rotor-machine"), "[\"40 mm\", \"60 mm\"]", "[\"40 mm\"]");
  text = replaced(text, "[\"linear-steel\", \"benchmark-aluminium\"]", "[\"benchmark-aluminium\"]");
  return text;
}

std::vector<double> conductivity_of(const TestMachine& machine, const std::string& material) {
  std::vector<double> list;
  for (const Region& r : machine.section.regions)
    list.push_back(r.side == Side::rotor && r.material == material ? machine.kase.materials.at(material).conductivity
                                                                   : 0);
  return list;
}

Circuits one_loop(const Section& section, int branch, double r, double l, std::function<double(double)> voltage) {
  Circuits c;
  c.turns = Eigen::MatrixXd::Zero(static_cast<Eigen::Index>(section.branches.size()), 1);
  c.turns(branch, 0) = 1;
  c.resistance = Eigen::MatrixXd::Constant(1, 1, r);
  c.inductance = Eigen::MatrixXd::Constant(1, 1, l);
  c.voltage = [voltage](double t) { return Eigen::VectorXd::Constant(1, voltage(t)); };
  return c;
}

/// State after `steps` equal steps, each one's own balance asserted: the scheme's energies close to the rest of
/// Newton's iteration, 1e-8 of the energy that moves (true by construction: tests the code).
struct Stretch {
  TransientState state;
  double imbalance = 0, through = 0;  // J
  int newton_steps = 0, factorisations = 0, iterations = 0;
};

Stretch step_on(TransientField& field, const TransientState& from, const Motion& motion, double h, int steps) {
  Stretch r;
  r.state = from;
  for (int k = 0; k < steps; ++k) {
    TransientStep step = field.step(r.state, motion, h);
    const TransientPowers& e = step.scheme;
    const double moved = std::abs(e.source) + e.copper + e.eddy + e.ring + std::abs(e.field) + std::abs(e.circuit);
    EXPECT_LE(std::abs(e.imbalance()), 1e-8 * moved) << "step " << k;
    r.imbalance += step.imbalance();
    r.through += moved;
    r.newton_steps += step.newton_steps;
    r.factorisations += step.factorisations;
    r.iterations += step.iterations;
    r.state = std::move(step.state);
  }
  return r;
}

/// i = U/|Z| [sin(ωt − φ) + sin φ e^{−tR/L}] under u = U sin ωt from rest (formula), the inductance as the static field
/// has it. What is left is the scheme's error, that falls with the square of the step: 60 steps a period leave 2e-4.
TEST(TransientField, ResistanceAndInductance) {
  auto machine = make_machine(lone_cylinder(), 0.3, concentric_materials(30));
  TransientField field(machine->section, machine->mesh, machine->kase.materials, {}, {});
  const StaticSolution one = machine->field->solve({{1.0}, 0, 1});
  const double own = machine->field->linkages(one)[0], l = 2 * own, omega = 2 * pi * 50, r = 0.4 * omega * l;
  const Circuits circuit = one_loop(machine->section, 0, r, own, [&](double t) { return std::sin(omega * t); });
  field.connect(circuit);
  const double angle = std::atan2(omega * l, r), size = 1 / std::hypot(r, omega * l), time = 1.3 * 0.02;
  const double exact = size * (std::sin(omega * time - angle) + std::sin(angle) * std::exp(-time * r / l));
  std::vector<double> errors;
  for (int steps : {39, 78, 156}) {
    const TransientState from = field.start(std::vector<double>(machine->mesh.nodes.size()), {0}, 0, 100);
    const Stretch found = step_on(field, from, {}, time / steps, steps);
    errors.push_back(std::abs(found.state.at.circuits[0] - exact) / size);
    if (steps == 78)
      record_check("R-L circuit after 1.3 periods, 60 steps each: current", found.state.at.circuits[0] / size,
                   exact / size, 5e-4, "1", "R-L circuit from rest (formula)", kClosedForm);
  }
  record_at_least("R-L circuit: order in the step", std::log2(errors[1] / errors[2]), 1.9, "1", "TR-BDF2 (formula)",
                  kRate);
}

/// Zeros of J_order below 60, by halving between samples of the standard library's function.
std::vector<double> bessel_zeros(int order) {
  const auto j = [order](double x) { return std::cyl_bessel_j(static_cast<double>(order), x); };
  std::vector<double> zeros;
  for (double x = 0.5; x < 60; x += 0.25) {
    double low = x, high = x + 0.25;
    if (j(low) * j(high) > 0) continue;
    for (int k = 0; k < 60; ++k) (j(low) * j(0.5 * (low + high)) > 0 ? low : high) = 0.5 * (low + high);
    zeros.push_back(low);
  }
  return zeros;
}

/// Share of the flux of one order that a cylinder's currents hold off, t in units of μ0 σ a².
double held_off(int order, double t) {
  double sum = 0;
  for (double z : bessel_zeros(order - 1)) sum += 4 * order / (z * z) * std::exp(-z * z * t);
  return sum;
}

/// Flux of one order and metre that a current-free cylinder of radius a keeps out of phase A's winding, over that of
/// all orders a common factor: n a^2n c_n², with c_n = (2/n²) sin(n w/2) ∫ R^(1−n) dR of zones of width w.
double order_share(int n, double a) {
  const double r1 = 0.032, r2 = 0.052, w = pi / 4;
  const double radial = (std::pow(r1, 2 - n) - std::pow(r2, 2 - n)) / (n - 2);
  const double c = 2 / static_cast<double>(n * n) * std::sin(n * w / 2) * radial;
  return n * std::pow(a, 2 * n) * c * c;
}

/// A uniform field suddenly applied to a solid cylinder: what its currents take away from the flux of order n decays as
/// Σ (4n/α_k²) e^{−α_k² t/(μ0 σ a²)}, J_{n−1}(α_k) = 0 (formula: Laplace transform, the sum is 1 at t = 0). Through a
/// winding of B_0 per ampere on the axis that is (2π a²/μ0) B_0² l of order 1 (formula: reciprocity). Mesh and steps
/// leave 2e-4 each at this density, the skin being thinnest at first.
TEST(TransientField, SolidCylinderInASuddenField) {
  auto machine = make_machine(lone_cylinder(), 0.9, concentric_materials(1));
  TransientOptions options;
  options.conductivity = conductivity_of(*machine, "benchmark-aluminium");
  TransientField field(machine->section, machine->mesh, machine->kase.materials, {}, options);
  Circuits fed;
  fed.turns.resize(static_cast<Eigen::Index>(machine->section.branches.size()), 0);
  fed.resistance.resize(0, 0), fed.inductance.resize(0, 0);
  fed.fed = [](double) { return std::vector<double>{1000.0}; };
  field.connect(fed);
  const double a = 0.02, tau = mu0 * 3.72e7 * a * a;
  const double density = 1000 / (pi / 8 * (0.052 * 0.052 - 0.032 * 0.032));
  const double b0 = mu0 * density / pi * 0.02 * 2 * std::sin(pi / 8);
  const double whole = 2 * pi * a * a / mu0 * b0 * b0 / 1000 * machine->section.length;  // Wb
  const double still = machine->field->linkages(machine->field->solve({{1000.0}, 0, 1}))[0];
  TransientState state = field.start(std::vector<double>(machine->mesh.nodes.size()), {}, 0, 0);
  double at = 0;
  for (double until : {0.05, 0.1, 0.2, 0.4}) {
    const int steps = 40;
    state = step_on(field, state, {}, (until - at) * tau / steps, steps).state;
    at = until;
    double sum = 0;
    for (int n : {1, 3, 5, 7}) sum += order_share(n, a) / order_share(1, a) * held_off(n, at);
    record_check(fmt::format("solid cylinder in a sudden field after {:g} of its time constant: flux held off", at),
                 (still - field.linkages(state)[0]) / whole, sum, 1e-3, "of all", "Bessel series (formula)",
                 kClosedForm);
  }
}

/// A saturated cage motor on its mains, from rest currents at half speed: the scheme's balance at every step (in
/// step_on()), order 2 of its current and its physical imbalance.
TEST(TransientField, OrderAndEnergiesOfACageMotor) {
  auto machine = make_machine(case_text("cage"), 0.25);
  TransientOptions options;
  options.field.tolerance = 1e-10;
  TransientField field(machine->section, machine->mesh, machine->kase.materials,
                       full_ring(machine->section, RingSegment{2e-6, 1e-8}), options);
  StatorCircuit stator;
  stator.resistance = 0.7, stator.inductance = 1e-3;
  stator.source = balanced_source(machine->section, 326, 2 * pi * 50, 0.3);
  const Circuits circuits = machine_circuits(machine->section, stator, {});
  field.connect(circuits);
  const TransientState from = field.start(std::vector<double>(machine->mesh.nodes.size()), {0, 0}, 0.1, 75);
  std::vector<Stretch> runs;
  for (int steps : {40, 80, 160}) runs.push_back(step_on(field, from, {}, 0.01 / steps, steps));
  const auto current = [](const Stretch& r) { return r.state.at.circuits[0]; };
  const double rate =
      std::log2(std::abs((current(runs[0]) - current(runs[1])) / (current(runs[1]) - current(runs[2]))));
  record_at_least("saturated cage motor on the mains: order of the current in the step", rate, 1.8, "1",
                  "TR-BDF2 (formula)", kRate);
  const double fall = std::log2(std::abs(runs[1].imbalance / runs[2].imbalance));
  record_at_least("saturated cage motor: order of source - heat - stored - shaft", fall, 1.8, "1", "TR-BDF2 (formula)",
                  kRate);
  record_at_most("saturated cage motor, 320 steps a period: source - heat - stored - shaft over the energy moved",
                 std::abs(runs[2].imbalance) / runs[2].through, 1e-3, "1", "conservation of energy (formula)",
                 kClosedForm);
}

/// In a delta each winding lies between two lines: a linear machine's winding currents are √3 times those in star
/// under sources 30° ahead, winding k between lines k and k + 1 (formula). The mesh is not the same under each phase,
/// which drives 3e-5 of the current round the delta, or through the neutral.
TEST(TransientField, DeltaIsAStarTurnedByThirtyDegrees) {
  auto machine = make_machine(lone_cylinder(), 0.25, concentric_materials(30));
  const auto currents = [&](StatorCircuit::Connection connection, double phase) {
    TransientField field(machine->section, machine->mesh, machine->kase.materials, {}, {});
    StatorCircuit stator{connection, 1e-4, 2e-7};
    stator.source = balanced_source(machine->section, 1, 2 * pi * 60, phase);
    const Circuits circuits = machine_circuits(machine->section, stator, {});
    field.connect(circuits);
    const std::vector<double> nothing(static_cast<size_t>(circuits.turns.cols()), 0.0);
    const TransientState from = field.start(std::vector<double>(machine->mesh.nodes.size()), nothing, 0, 0);
    return field.branch_currents(step_on(field, from, {}, 1e-3, 10).state);
  };
  const std::vector<double> delta = currents(StatorCircuit::Connection::delta, 0.2);
  const std::vector<double> star = currents(StatorCircuit::Connection::star, 0.2 + pi / 6);
  const std::vector<double> joined = currents(StatorCircuit::Connection::star_with_neutral, 0.2 + pi / 6);
  for (size_t b = 0; b < 3; ++b) {
    EXPECT_NEAR(delta[b], std::sqrt(3.0) * star[b], 2e-4 * std::abs(star[0])) << b;
    EXPECT_NEAR(joined[b], star[b], 2e-4 * std::abs(star[0])) << b;  // balanced: nothing flows in the neutral
  }
  EXPECT_GT(std::abs(star[0]), 100);
}

/// Two closed lines of three make one loop: i = √3 U/(2R) … with an R-L circuit's own course (formula), inductances as
/// the static field has them.
TEST(TransientField, TwoLinesClosedAreOneLoop) {
  auto machine = make_machine(lone_cylinder(), 0.25, concentric_materials(30));
  TransientField field(machine->section, machine->mesh, machine->kase.materials, {}, {});
  const std::vector<double> linked = machine->field->linkages(machine->field->solve({{1.0, -1.0, 0.0}, 0, 1}));
  const double l = linked[0] - linked[1], r = 100 * l;
  StatorCircuit stator;
  stator.resistance = r / 2;
  stator.closed = {true, true, false};
  stator.source = [](double) { return std::vector<double>{1.0, -1.0, 5.0}; };
  const Circuits circuits = machine_circuits(machine->section, stator, {});
  field.connect(circuits);
  const TransientState from = field.start(std::vector<double>(machine->mesh.nodes.size()), {0}, 0, 0);
  const std::vector<double> found = field.branch_currents(step_on(field, from, {}, 5e-4, 40).state);
  const double exact = 2 / r * (1 - std::exp(-100 * 40 * 5e-4));
  EXPECT_NEAR(found[0], exact, 1e-4 * exact);
  EXPECT_NEAR(found[1], -exact, 1e-4 * exact);
  EXPECT_EQ(found[2], 0);
}

/// An imposed load against a rotor without torque: Ω = Ω_0 − T t/J, θ by its integral (formula), exact for a scheme of
/// order 2.
TEST(TransientField, ALoadBrakesTheRotor) {
  auto machine = make_machine(lone_cylinder(), 0.25, concentric_materials(30));
  TransientField field(machine->section, machine->mesh, machine->kase.materials, {}, {});
  const Motion motion{0.5, [](double, double) { return 3.0; }};
  const TransientState from = field.start(std::vector<double>(machine->mesh.nodes.size()), {}, 0.1, 20);
  const TransientState end = step_on(field, from, motion, 0.01, 50).state;
  EXPECT_NEAR(end.speed, 20 - 3 / 0.5 * 0.5, 1e-12);
  EXPECT_NEAR(end.angle, 0.1 + 20 * 0.5 - 0.5 * 3 / 0.5 * 0.25, 1e-12);
}

}  // namespace
}  // namespace polepitch::test
