// The ready cases of magnet, reluctance and wound rotors run whole, and agree with a hand calculation that never saw
// the program.
#include <gtest/gtest.h>

#include <cmath>

#include "tests/cases/hand_formulas_helper.h"
#include "tests/cases/ready_case_helper.h"
#include "tests/verification_helper.h"

namespace polepitch {
namespace {

using namespace hand;

/// Turns in series times the winding factor by the sines of distribution and pitch; checked to rounding.
double expect_winding(const ReadyCase& run, int q, double span, double turns) {
  const double kw = distribution_factor(q) * pitch_factor(span);
  const std::string name = ::testing::UnitTest::GetInstance()->current_test_info()->name();
  test::record_check(name + ": winding factor", run.value("description", "winding_factor"), kw, 1e-6, "1",
                     "sines of distribution and pitch (formula)", test::kByHand);
  EXPECT_DOUBLE_EQ(run.value("description", "turns_in_series"), turns);
  return kw * turns;
}

// The invented magnet at 80 degC; bridges are full at 2 T.
constexpr double remanence = 1.15 * (1 - 0.0011 * 60), recoil = 1.05, bridge_field = 2.0;
constexpr double rotor = 0.0653, mean_radius = 0.06565;

/// The stator of these motors: 48 slots, 2 mm openings in a 132 mm bore, gap 0.7 mm.
double effective_gap() {
  return 0.7e-3 * carter(pi * 0.132 / 48, 2e-3, 0.7e-3);
}

/// Common practice, magnetic circuit of a pole without iron MMF: what the magnets (width w, thickness t along the flux
/// of one pole) make, less what iron of the width `leak` carries at 2 T, over gap under `arc` [rad] and the magnets'
/// own reluctance; amplitude of order p = 4 of that rectangle.
double buried_field(double w, double t, double leak, double arc) {
  const double b = (remanence * w - bridge_field * leak) / (arc * rotor + recoil * w * effective_gap() / t);
  return 4 / pi * b * std::sin(4 * arc / 2);
}

void expect_magnet_motor(const ReadyCase& run, double b, double low, double high) {
  run.expect_whole();
  run.expect_lesson();
  const double turns = expect_winding(run, 2, 5.0 / 6, 16 * 4 / 2.0);
  expect_by_hand(run.value("operating-point", "B_r1"), b, low, high, "field of the magnets");
  expect_by_hand(run.value("operating-point", "lambda_d"), linkage(b, mean_radius, 0.1, 4, turns), low - 0.02,
                 high + 0.02, "linkage of the magnets");
}

TEST(ReadyRotors, BuriedMagnetMotor) {
  const ReadyCase run("buried-magnet-motor");
  // The pole reaches to the middle of the pockets. Band: iron's MMF, leakage through the pockets, fringing.
  const double arc = 2 * (std::atan2(0.016, rotor - 5e-3) + 2e-3 / (rotor - 1e-3));
  expect_magnet_motor(run, buried_field(0.032, 4.5e-3, 2 * 1e-3, arc), 0.92, 1.03);
  // Flat magnets lie across the d-axis alone (common practice: X_q above X_d).
  EXPECT_GT(run.value("reactances", "X_aq"), 1.5 * run.value("reactances", "X_ad"));
}

/// Loss of these motors' stator at no load and 200 Hz, from a sinusoidal gap field b (common practice): teeth of 4.6 mm
/// and 20 mm height, a yoke of 13.3 mm outside a radius of 86.7 mm, the invented steel's coefficients, stacking factor
/// 0.97.
double stator_iron_loss(double b) {
  const auto specific = [](double t) {
    return 0.02 * 200 * t * t + 9e-5 * 4e4 * t * t + 6e-4 * std::pow(200 * t, 1.5);
  };
  const double pitch = pi * 0.132 / 48, pole = pi * 0.132 / 8, k = 0.97;
  const double teeth = 7700 * k * 48 * 4.6e-3 * 20e-3 * 0.1, yoke = 7700 * k * pi * (0.01 - 0.0867 * 0.0867) * 0.1;
  return teeth * specific(b * pitch / (4.6e-3 * k)) + yoke * specific(b / pi * pole / (13.3e-3 * k));
}

TEST(ReadyRotors, VMagnetMotor) {
  const ReadyCase run("v-magnet-motor");
  // Ends of the V on the circle under the bridges at 15.78 and 22.16 degrees (by hand from the drawing's dimensions).
  const double arc = (15.78 + 22.16) * pi / 180, b = buried_field(2 * 0.0135, 4.5e-3, 2 * 1e-3 + 1.5e-3, arc);
  expect_magnet_motor(run, b, 0.93, 1.1);
  // Band: harmonics of the gap and the radial component of the yoke's field add to the fundamental's loss.
  expect_by_hand(run.value("iron-loss", "iron_loss_stator"), stator_iron_loss(b), 1.0, 1.5, "loss of teeth and yoke");
  // A twentieth of the limit: current on the q-axis and magnets alone, (3/2) p λ_m i; band of λ_m, and some reluctance.
  const double turns = 16 * 4 / 2.0 * distribution_factor(2) * pitch_factor(5.0 / 6);
  const double least = std::sqrt(2.0) * run.column("torque-speed", "most_torque_per_ampere", "I_phase").front();
  expect_by_hand(run.column("torque-speed", "most_torque_per_ampere", "torque").front(),
                 1.5 * 4 * linkage(b, mean_radius, 0.1, 4, turns) * least, 0.91, 1.15, "torque of magnets and current");
  EXPECT_GT(run.value("torque-speed", "torque_limit"), run.value("operating-point-2", "torque_mean"));
  EXPECT_GT(run.value("reactances", "X_aq"), 1.5 * run.value("reactances", "X_ad"));
}

TEST(ReadyRotors, SpokeMagnetMotor) {
  const ReadyCase run("spoke-magnet-motor");
  // Two faces of 19 mm feed a pole, half of each magnet's thickness belongs to it. Band: also leakage through the hub.
  expect_magnet_motor(run, buried_field(2 * 0.019, 3.5e-3, 2 * 0.8e-3, pi / 4 - 7e-3 / rotor), 0.87, 1.0);
}

TEST(ReadyRotors, BreadLoafMotor) {
  const ReadyCase run("bread-loaf-motor");
  // Closed form of shells (published) of the same area and outer face, over Carter's factor. Band: parallel, not radial
  // magnetisation, and a thickness that varies by a fifth.
  const double outer = 0.0642, half = 0.75 * pi / 8, bottom = outer - 7e-3, width = 2 * outer * std::sin(half);
  const double area = width * (outer * std::cos(half) - bottom) + outer * outer * (half - std::sin(2 * half) / 2);
  const double t = area / width, kc = carter(pi * 0.132 / 48, 2e-3, 1.8e-3 + t / recoil);
  expect_magnet_motor(run, surface_magnet_field(4, outer - t, outer, 0.066, 0.75, remanence, recoil) / kc, 0.97, 1.06);
}

TEST(ReadyRotors, DrumMotor) {
  const ReadyCase run("drum-motor");
  run.expect_whole();
  run.expect_lesson();
  // Published: 12 slots, 14 poles, double layer: k_w = sin 75° cos 15° (0.933013).
  const double turns = 4 * 36.0 * std::sin(75 * pi / 180) * std::cos(15 * pi / 180);
  EXPECT_NEAR(run.value("description", "winding_factor"), turns / 144, 1e-6);
  // The closed form takes its radii in either order: yoke 49.5 mm, magnets to 46 mm, stator 45 mm; magnets at 60 degC.
  // Band: a tooth carries a whole pole's flux, as of the tooth-coil motor.
  const double b_rem = 1.15 * (1 - 0.0011 * 40), gap = 1e-3 + 3.5e-3 / recoil, kc = carter(pi * 0.09 / 12, 3e-3, gap);
  const double b = surface_magnet_field(7, 0.0495, 0.046, 0.045, 0.85, b_rem, recoil) / kc;
  expect_by_hand(run.value("operating-point", "B_r1"), b, 0.95, 1.02, "field of the magnets");
  const double lambda = linkage(b, 0.0455, 0.06, 7, turns);
  expect_by_hand(run.value("operating-point", "lambda_d"), lambda, 0.95, 1.03, "linkage of the magnets");
  expect_by_hand(run.value("operating-point", "E_phase"), 2 * pi * 70 * lambda / std::sqrt(2.0), 0.95, 1.03, "EMF");
  expect_by_hand(run.value("torque-angle", "torque_mean"), 10.5 * lambda * 5 * std::sqrt(2.0), 0.93, 1.03,
                 "torque of linkage and q-axis current");
  // A gap of p δ/r = 0.7 is not thin: field of a sheet on the inner of two circles, at the mean gap circle (formula).
  // The iron under load parts the axes; their mean is asked for.
  const double ring = 0.045 + kc * gap,
               wave = std::cosh(7 * std::log(ring / 0.0455)) / std::sinh(7 * std::log(ring / 0.045));
  const double x = 2 * pi * 70 * 6 * mu_0 * 0.06 * turns * turns / (7 * pi) * wave;
  expect_by_hand((run.value("reactances", "X_ad") + run.value("reactances", "X_aq")) / 2, x, 0.93, 1.07,
                 "X_ad and X_aq of the magnetic gap");
}

TEST(ReadyRotors, ReluctanceMotor) {
  const ReadyCase run("reluctance-motor");
  run.expect_whole();
  run.expect_lesson();
  const double turns = expect_winding(run, 3, 8.0 / 9, 12 * 14 / 2.0);
  // Guides reach all of the d-axis flux but for the barriers' ends, iron unsaturated: somewhat less than a round rotor.
  const double delta = 0.5e-3 * carter(pi * 0.150 / 36, 2e-3, 0.5e-3);
  const double x = 2 * pi * 50 * magnetising_inductance(0.18, 0.07475, turns, 2, delta);
  expect_by_hand(run.value("reactances", "X_ad"), x, 0.85, 1.0, "X_ad of a round rotor");
  // Common practice: three barriers a pole give a ratio of 5 to 12 at rated current.
  const double ratio = run.value("reactances", "X_d_apparent") / run.value("reactances", "X_q_apparent");
  EXPECT_GT(ratio, 4);
  EXPECT_LT(ratio, 12);
  // The rated current's voltage is the rated one but for the drops of resistance and end winding.
  expect_by_hand(run.value("operating-point", "E_phase"), 400 / std::sqrt(3.0), 0.94, 1.0, "rated voltage");
}

TEST(ReadyRotors, CylindricalGenerator) {
  const ReadyCase run("cylindrical-generator");
  run.expect_whole();
  run.expect_lesson();
  const double turns = expect_winding(run, 8, 20.0 / 24, 16 * 5 / 2.0);
  // Formula: coils of 14 turns whose sides lie (k + 1/2) slot pitches of 10 degrees from the q-axis; amplitude
  // 4/pi sum N sin(half width). Band: Carter's factors of two sides with wide slots.
  double mmf = 0;
  for (int k = 0; k < 6; ++k) mmf += 4 / pi * 14 * std::sin(pi / 2 - (k + 0.5) * pi / 18);
  const double delta = 0.015 * carter(pi * 0.5 / 48, 0.015, 0.015) * carter(2 * pi * 0.235 / 36, 0.017, 0.015);
  const double current = run.column("magnetising-curve", "curve", "field_current").at(1);
  expect_by_hand(run.column("magnetising-curve", "curve", "B_r1").at(1), mu_0 * mmf * current / delta, 0.97, 1.06,
                 "gap line of distributed coils");
  const double x = 2 * pi * 50 * magnetising_inductance(0.9, 0.2425, turns, 1, delta);
  expect_by_hand(run.value("reactances", "X_ad"), x, 0.95, 1.08, "X_ad of the air gap");
  expect_by_hand(run.value("reactances", "X_aq"), x, 0.93, 1.06, "X_aq of the air gap");
  // Formulas: field current of rated voltage across that gap; on short circuit the field's MMF against the armature's,
  // (3/2)(4/pi) sqrt 2 I N k_w/2p. Bands: as above; on short circuit also the leakage, X_l/X_ad = 5 %.
  const double field = 6300 / std::sqrt(3.0) * std::sqrt(2.0) / (2 * pi * 50) / linkage(1, 0.2425, 0.9, 1, turns);
  expect_by_hand(run.value("characteristics", "i_field_air_gap"), field * delta / (mu_0 * mmf), 0.94, 1.03,
                 "field current of the gap");
  const double armature = 1.5 * 4 / pi * std::sqrt(2.0) * 2.5e6 / (std::sqrt(3.0) * 6300) * turns / 2;
  expect_by_hand(run.value("characteristics", "i_field_short_circuit"), armature / mmf, 1.01, 1.1,
                 "field current against the armature's MMF");
  // By the curves and by unit currents in the frozen field: the same quantity where the iron is far from its knee.
  expect_by_hand(run.value("characteristics", "X_d_unsaturated"), run.value("reactances", "X_d_apparent"), 0.98, 1.02,
                 "X_d by frozen reluctivity");
  // Common practice: the Potier reactance of a round rotor lies between X_l and twice X_l.
  EXPECT_GT(run.value("characteristics", "X_potier"), run.value("reactances", "X_l"));
  EXPECT_LT(run.value("characteristics", "X_potier"), 2 * run.value("reactances", "X_l"));
}

TEST(ReadyRotors, DamperGenerator) {
  const ReadyCase run("damper-generator");
  run.expect_whole();
  run.expect_lesson();
  expect_winding(run, 4, 10.0 / 12, 16 * 7 / 2.0);
  // As of the machine without bars, the bars' openings by Carter's factor of their pitch.
  const TaperedPole pole{2, 0.12, 0.002, 0.106, 0.064, pi * 0.24 / 48, 0.0032};
  const double current = run.column("magnetising-curve", "curve", "field_current").at(1);
  expect_by_hand(run.column("magnetising-curve", "curve", "B_r1").at(1),
                 no_load_field(pole, 200 * current) / carter(0.017, 0.002, 0.0025), 0.94, 1.04,
                 "gap line of a tapered pole");
  // T'_do = L_ff/R_f, L_ff by the fundamental of that flux in 200 turns on four poles. Band: leakage between the poles
  // adds a tenth or two, iron of initial permeability and the field's shape take as much.
  const double flux = linkage(no_load_field(pole, 200) / carter(0.017, 0.002, 0.0025), 0.119, 0.2, 2, 1);
  expect_by_hand(run.value("frequency-response", "T_do_transient"),
                 4 * 200 * flux / run.value("description", "R_field"), 0.8, 1.3, "field winding's L/R");
}

/// Amplitude of the fundamental of a parallel magnet of uneven height: at each angle the flux crosses magnet and gap
/// along the radius, Br cos θ · h/(h + mu_r δ'), and keeps B r; δ' is the gap with Carter's factor (common practice:
/// magnetic circuit). Nothing between the magnets.
double arched_magnet_field(double b_rem, double mu_r) {
  const double core = 39.5, centre = 12, face = 32.2, half = 16, bore = 45, mean = 44.6;  // mm, as drawn
  const double smallest = 0.8 + 4.7 / mu_r, kc = carter(pi * 90 / 36, 2, smallest);
  const int steps = 2000;
  double sum = 0;
  for (int i = 0; i < steps; ++i) {
    const double angle = (i + 0.5) / steps * pi / 6;
    const double outer = centre * std::cos(angle) + std::sqrt(face * face - std::pow(centre * std::sin(angle), 2));
    if (outer * std::sin(angle) > half) continue;
    const double h = outer - core, slotted = kc * (h / mu_r + bore - outer) - h / mu_r;
    sum += b_rem * std::cos(angle) * h / (h + mu_r * slotted) * (core + outer) / 2 / mean * std::cos(3 * angle) * 3 *
           pi / 6 / steps;
  }
  return 4 / pi * sum;
}

TEST(ReadyCases, DrawnMotor) {
  const ReadyCase run("drawn-motor");
  run.expect_whole();
  run.expect_lesson();
  // 36 slots, 6 poles: q = 2, span 5 of 6; 12 coils of 7 turns a phase.
  const double turns = expect_winding(run, 2, 5.0 / 6, 12 * 7.0);
  const double b = arched_magnet_field(remanence, 1.05);
  // Band: the remanence along the circumference, which the circuit leaves out, brings flux from the sides to the
  // middle, at most h/r = 11 % of it; some of it leaves through the sides.
  expect_by_hand(run.value("operating-point", "B_r1"), b, 0.95, 1.08, "arched magnet");
  const double lambda = linkage(b, 0.0446, 0.06, 3, turns);
  expect_by_hand(run.value("operating-point", "lambda_d"), lambda, 0.94, 1.08, "linkage of the magnets");
  expect_by_hand(run.value("torque-angle", "torque_mean"), 4.5 * lambda * 11 * std::sqrt(2.0), 0.92, 1.08,
                 "torque of linkage and q-axis current");
  const double gap = (0.8 + 4.7 / 1.05) * 1e-3;
  const double x =
      2 * pi * 150 * magnetising_inductance(0.06, 0.0446, turns, 3, carter(pi * 0.09 / 36, 2e-3, gap) * gap);
  // The gap grows towards the magnet's sides and between the magnets.
  expect_by_hand(run.value("reactances", "X_ad"), x, 0.75, 1.02, "X_ad of the magnetic gap");
}

/// A quantity of a study's own point, by the last word that its point is told with.
double at_point(const ReadyCase& run, const std::string& study, const std::string& point, const std::string& name) {
  for (const Quantity& q : run.report().results.quantities)
    if (q.study == study && q.name == name && !q.at.empty() && q.at.back().second == point) return q.value;
  ADD_FAILURE() << study << " has no " << name << " at " << point;
  return 0;
}

TEST(ReadyRotors, WoundRotorMotor) {
  const ReadyCase run("wound-rotor-motor");
  run.expect_whole();
  run.expect_lesson();
  run.expect_page("gallery/slip.md", 10);
  const double stator = expect_winding(run, 3, 1, 6 * 24.0), turns = 8 * 4.0;
  // Rotor: 24 slots, q = 2, coils over five of six slots, 8 coils a phase.
  const double kw = distribution_factor(2) * pitch_factor(5.0 / 6);
  test::record_check("WoundRotorMotor: winding factor of the rotor", run.value("description", "rotor_winding_factor"),
                     kw, 1e-6, "1", "sines of distribution and pitch (formula)", test::kByHand);
  // As the stator's: 32 turns of 2 L + 2.4 W + 0.1 m over 6 mm2, warm. Band: where W is measured.
  const double span = 2 * pi * (0.0595 - 0.0018 - 0.0075) * 5 / 24;
  const double r = turns * (2 * 0.14 + 2.4 * span + 0.1) / (58e6 * 6e-6) * (1 + 0.00393 * 55);
  expect_by_hand(run.value("description", "R_rotor_phase"), r, 0.97, 1.03, "rotor resistance from the mean turn");
  // A transformer at rest: 400 V over the ratio of the effective turns; stator leakage takes some 5 % of it.
  expect_by_hand(run.value("slip", "ring_voltage"), 400 * kw * turns / stator, 0.92, 0.98, "ratio of effective turns");
  // T = 3 p/omega U² s/R_2' at the small slip of rated speed; leakage and R_1 take a tenth of U, a fifth of T.
  const double referred = r * std::pow(stator / (kw * turns), 2), slip = 80 / 1500.0;
  expect_by_hand(at_point(run, "slip", "rated speed", "torque_mean"),
                 3 * 2 / (2 * pi * 50) * 400 * 400 / 3 * slip / referred, 0.75, 0.95, "torque by R_2/s");
  // Resistance outside moves the curve along slip (formula): with 0.05 ohm the largest torque stands near standstill,
  // which the second study reports; the curve is flat there.
  const double first = at_point(run, "slip", "largest torque", "torque_mean");
  expect_by_hand(at_point(run, "slip-2", "locked rotor", "torque_mean"), first, 0.98, 1.0001,
                 "largest torque at standstill with resistance outside");
}

}  // namespace
}  // namespace polepitch
