// Rotors that slip without a plain cage: wound, skewed, solid; and every harmonic of the gap at one slip. Against
// transformer, skew factor and the other solvers.
#include <gtest/gtest.h>

#include <cmath>
#include <complex>
#include <numbers>

#include "post/dq.h"
#include "solver/cage_field.h"
#include "tests/cases/case_text_helper.h"
#include "tests/physics/machine_helper.h"
#include "tests/verification_helper.h"

namespace polepitch::test {
namespace {

using Complex = std::complex<double>;
constexpr double pi = std::numbers::pi;
constexpr double kOmega = 2 * pi * 50;

/// Invented: 36 slots outside, 24 inside, four poles.
std::string wound_motor() {
  std::string text = case_text("cage");
  text = replaced(text, "slots = 24", "slots = 36");
  text = replaced(text, "tooth_width = \"6.5 mm\"", "tooth_width = \"4.5 mm\"");
  text.resize(text.find("[rotor]"));
  return text + R"toml([rotor]
type = "wound"
air_gap = "0.8 mm"
slots = 24
shaft_diameter = "38 mm"
[rotor.slot]
shape = "trapezoidal"
opening_width = "1.5 mm"
opening_height = "0.8 mm"
flare_height = "0.5 mm"
tooth_width = "5.5 mm"
body_height = "14 mm"
[rotor.winding]
layers = 1
turns_per_coil = 10
)toml";
}

std::string linear(std::string text) {
  text = replaced(text, "\"M400-50A\"", "\"linear-steel\"");
  return text;
}

Materials good_iron() {
  Material iron;
  iron.name = "linear-steel", iron.kind = "steel", iron.mu_r = 5000;
  return {{"linear-steel", iron}};
}

CageExcitation voltage_fed(double slip, double rotor_resistance) {
  CageExcitation e{kOmega, slip, true, 230.94 * std::sqrt(2.0), 0.5, 1e-3};
  e.rotor_resistance = rotor_resistance;
  e.rotor_end_inductance = 1e-4;
  return e;
}

/// The rotor winding repeats as the stator's does, phase a's axis on the d-axis; its coil sides carry their branch.
TEST(WoundRotor, SectionHasItsWinding) {
  auto m = make_machine(wound_motor(), 0.2);
  EXPECT_EQ(m->section.sectors, 4);
  EXPECT_EQ(m->section.sign, -1);
  int sides = 0;
  for (const Region& r : m->section.regions)
    if (r.side == Side::rotor && r.role == Role::winding) {
      ++sides;
      EXPECT_EQ(m->section.branches[r.branch].kind, BranchKind::rotor_phase);
      EXPECT_EQ(std::abs(r.turns), 10);
    }
  EXPECT_EQ(sides, 6);
  EXPECT_EQ(m->section.branches[3].name, "a");
}

/// A transformer at rest with open rings: gap voltages stand as N k_w (formula). Iron of constant permeability; the
/// rotor's linkage is the gap's wave, the stator's holds its leakage beside, which is taken off by the same wave.
TEST(WoundRotor, OpenAtRestIsATransformer) {
  auto m = make_machine(linear(wound_motor()), 0.35, good_iron());
  CageField field(m->section, m->mesh, m->kase.materials, CageEnds{});
  CageExcitation e = voltage_fed(1, 1);
  e.rotor_open = true;
  const CageSolution s = field.solve(e);
  EXPECT_EQ(s.rotor_current, Complex{0});
  // λ = N k_w 2 Â L (formula), Â half of the wave's phasor, k_w of q = 2 sines. Band: slot openings, and the gap
  // between circle and rotor surface.
  const double kw = std::sin(pi / 6) / (2 * std::sin(pi / 12)), turns = 40;
  const double expected = turns * kw * std::abs(s.rotor) * m->section.length;
  record_band("open rotor at rest: linkage of a rotor phase", std::abs(s.rotor_linkage), expected, 0.97, 1.03,
              "N k_w times the flux of the wave (formula)", kClosedForm);
  EXPECT_NEAR(s.torque, 0, 1e-6);  // round-off beside a rated 48 N m
}

/// The field knows R_2/s alone: with resistance outside the same torque stands at the slip s (R_2 + R_ext)/R_2, and so
/// do the currents (formula), to Newton's rest. Slip power is what the rotor's resistances take: closed by construction
/// but for the sixteen instants of the loci (1e-4 of saturated iron's H).
TEST(WoundRotor, ResistanceOutsideMovesTheCurveAlongSlip) {
  auto m = make_machine(wound_motor(), 0.25);
  SolverOptions options;
  options.tolerance = 1e-9;
  CageField field(m->section, m->mesh, m->kase.materials, CageEnds{}, options);
  const CageSolution s = field.solve(voltage_fed(0.08, 0.2));
  const CageSolution moved = field.solve(voltage_fed(0.4, 1.0), &s);
  ASSERT_GT(s.torque, 1);
  record_check("wound rotor: torque at slip 0.4 with five times the resistance over that at 0.08",
               moved.torque / s.torque, 1, 1e-7, "1", "torque depends on R_2/s alone (formula)", kClosedForm);
  EXPECT_NEAR(std::abs(moved.rotor_current / s.rotor_current), 1, 1e-7);
  EXPECT_NEAR(moved.rotor_copper, 0.4 * kOmega / 2 * moved.torque, 1e-4 * moved.rotor_copper);
  EXPECT_NEAR(s.rotor_loss(), 0.08 * kOmega / 2 * s.torque, 1e-4 * s.rotor_loss());
  auto plain = make_machine(linear(wound_motor()), 0.2, good_iron());
  CageField unsaturated(plain->section, plain->mesh, plain->kase.materials, CageEnds{}, options);
  const CageSolution u = unsaturated.solve(voltage_fed(0.4, 1.0));
  EXPECT_NEAR(u.rotor_copper, 0.4 * kOmega / 2 * u.torque, 1e-8 * u.rotor_copper);
}

/// Slices of a skew of γ, `count` of them, equal.
std::vector<SkewSlice> equal_slices(double skew, int count) {
  std::vector<SkewSlice> slices;
  for (int k = 0; k < count; ++k) slices.push_back({skew * ((k + 0.5) / count - 0.5), 1.0 / count});
  return slices;
}

/// The voltage of an open, linear rotor at held stator current falls by the skew factor of N equal slices,
/// sin(pγ/2)/(N sin(pγ/2N)) (formula).
TEST(Skew, OpenRotorFallsByTheSkewFactor) {
  auto m = make_machine(linear(wound_motor()), 0.2, good_iron());
  CageExcitation e = voltage_fed(1, 1);
  e.voltage_fed = false, e.supply = 5, e.rotor_open = true;
  const double skew = 2 * pi / 24 * 1.5;
  CageField straight(m->section, m->mesh, m->kase.materials, CageEnds{});
  CageField skewed(m->section, m->mesh, m->kase.materials, CageEnds{}, {},
                   {GapCoupling::fundamental, equal_slices(skew, 4)});
  const double x = 2 * skew / 2;
  record_check("skewed open rotor: voltage over the straight one's",
               std::abs(skewed.solve(e).rotor_linkage / straight.solve(e).rotor_linkage),
               std::sin(x) / (4 * std::sin(x / 4)), 1e-7, "1", "skew factor of four steps (formula)", kClosedForm);
}

/// Skew lets less of the rotor be seen: its leakage grows by 1 − k² of the magnetising part (formula, textbooks),
/// torque at rest falls; slip power still closes. The slices of a saturated machine are fields of their own.
TEST(Skew, SlicesShareTheirBarsAndCloseTheirPowers) {
  auto m = make_machine(case_text("cage"), 0.2);
  const RingSegment ring{1e-6, 5e-9};
  const CageExcitation e{kOmega, 1, true, 230.94 * std::sqrt(2.0), 0.5, 1e-3};
  CageField straight(m->section, m->mesh, m->kase.materials, ring);
  CageField skewed(m->section, m->mesh, m->kase.materials, ring, {},
                   {GapCoupling::fundamental, equal_slices(2 * pi / 22, 2)});
  const CageSolution a = straight.solve(e), b = skewed.solve(e);
  EXPECT_LT(b.torque, a.torque);
  EXPECT_LT(std::abs(b.current), std::abs(a.current));
  EXPECT_NEAR(b.rotor_loss(), kOmega / 2 * b.torque, 1e-5 * b.rotor_loss());
}

/// At synchronous slip nothing is induced, and with every harmonic across the gap the field is the static one at each
/// instant, rotor position included (two solvers, the same equations: tests the code).
TEST(AllHarmonics, SynchronousFieldIsTheStaticOne) {
  auto m = make_machine(linear(case_text("cage")), 0.25, good_iron());
  CageField field(m->section, m->mesh, m->kase.materials, RingSegment{1e-6, 5e-9}, {}, {GapCoupling::all_harmonics});
  CageExcitation e{kOmega, 0, false, 10};
  for (double angle : {0.0, 0.05}) {
    e.rotor_angle = angle;
    const CageSolution s = field.solve(e);
    std::vector<double> currents;
    for (int k = 0; k < 3; ++k) currents.push_back(10 * std::cos(-2 * pi / 3 * k));
    const Excitation held = phase_excitation(m->section, currents, 0, angle);
    const StaticSolution at = m->field->solve(held);
    const double scale = *std::max_element(at.a.begin(), at.a.end());
    double worst = 0;
    for (size_t n = 0; n < at.a.size(); ++n) worst = std::max(worst, std::abs(at.a[n] - s.a[n].real()));
    EXPECT_LT(worst, 1e-8 * scale) << angle;
  }
}

/// A solid rotor of constant permeability by the linear solver of waves and by this one: the same torque and loss with
/// the fundamental alone and with all harmonics (tests the code).
TEST(SolidRotor, IsThatOfTheLinearSolver) {
  std::string text = read_text_file(SOURCE_DIR "/cases/machines/solid-rotor-machine.toml");
  text.resize(text.find("[[study]]"));
  auto m = make_machine(text, 0.5);
  TimeHarmonicField linear_field(m->section, m->mesh, m->kase.materials);
  std::vector<Complex> currents;
  for (int k = 0; k < 3; ++k) currents.push_back(std::polar(2892.0, -2 * pi / 3 * k));
  for (GapCoupling coupling : {GapCoupling::fundamental, GapCoupling::all_harmonics}) {
    CageField field(m->section, m->mesh, m->kase.materials, CageEnds{}, {}, {coupling});
    const CageSolution s = field.solve({2 * pi * 60, 0.4, false, 2892.0});
    const HarmonicSolution h = linear_field.solve({currents, 2 * pi * 60, 0.6 * 2 * pi * 60, 0}, coupling);
    EXPECT_NEAR(s.torque, h.torque, 1e-6 * h.torque);
    EXPECT_NEAR(s.solid_loss, h.rotor_loss(), 1e-6 * h.rotor_loss());
  }
}

}  // namespace
}  // namespace polepitch::test
