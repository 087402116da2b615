// The ready cases that carry a [sweep] or an [optimise]: they run as they stand, and the end of the sweep moves as the
// hand calculation says. Whole sweeps and searches are for the user: here each has one more point.
#include <gtest/gtest.h>

#include <cmath>

#include "cases/optimise_plan.h"
#include "cases/variation_run.h"
#include "tests/cases/hand_formulas_helper.h"
#include "tests/cases/ready_case_helper.h"
#include "tests/verification_helper.h"

namespace polepitch {
namespace {

using namespace hand;

constexpr double omega_200 = 2 * pi * 200, omega_50 = 2 * pi * 50;

void expect_winding(const ReadyCase& run, double by_hand) {
  const std::string name = ::testing::UnitTest::GetInstance()->current_test_info()->name();
  test::record_check(name + ": winding factor", run.value("description", "winding_factor"), by_hand, 1e-6, "1",
                     "sines of distribution and pitch (formula)", test::kByHand);
}

/// A sweep of this case with other values, solved by the command's own code.
class FewPoints {
 public:
  FewPoints(const std::string& name, const std::string& parameters) {
    std::string text = read_text_file(std::string(SOURCE_DIR) + "/cases/machines/" + name + ".toml");
    text = text.substr(0, text.find("[[sweep.parameter]]")) + parameters;
    write_text(directory_ / "machine.toml", text);
    SweepRequest request;
    request.case_path = directory_ / "machine.toml";
    request.directory = directory_ / "out";
    Progress progress(false);
    report_ = run_sweep(request, progress);
    draw_sweep(report_, request.directory);
  }
  double value(std::size_t point, const std::string& label) const {
    const double value = recorded_value(report_.points.at(point), label);
    EXPECT_TRUE(std::isfinite(value)) << label;
    return value;
  }

 private:
  FreshDirectory directory_;
  SweepReport report_;
};

std::string parameter(const std::string& path, const std::string& values) {
  return "[[sweep.parameter]]\npath = \"" + path + "\"\nvalues = [" + values + "]\n";
}

/// Smooth closed form (published) over Carter's factor for the magnetic gap, as of the surface-magnet motor.
double magnets_linkage(double opening, double kw) {
  const double remanence = 1.15 * (1 - 0.0011 * 60), gap = 1e-3 + 4e-3 / 1.05;
  const double b =
      surface_magnet_field(4, 0.055, 0.059, 0.060, 0.8, remanence, 1.05) / carter(pi * 0.12 / 48, opening, gap);
  return linkage(b, 0.0595, 0.1, 4, 40 * kw);
}

TEST(ReadySweeps, SlotOpening) {
  const ReadyCase run("slot-opening-sweep");
  run.expect_whole();
  run.expect_lesson();
  const double kw = distribution_factor(2) * pitch_factor(5.0 / 6);
  expect_winding(run, kw);
  // Band: iron, and Carter's mean gap.
  expect_by_hand(run.value("open-circuit", "E_phase"), omega_200 * magnets_linkage(2.2e-3, kw) / std::sqrt(2.0), 0.97,
                 1.02, "EMF of the magnets");
  const FewPoints sweep("slot-opening-sweep", parameter("stator.slot.opening_width", "\"1 mm\", \"3.5 mm\""));
  // Slot leakage 2 mu_0 L N²/(p q) per permeance; opening, flare and tooth tip (memory) change with the opening. Band:
  // the tip's formula is for an even gap and good to a fifth; the chording of 5/6 takes up to an eighth off.
  const auto permeance = [](double b) {
    const double gap = (1 + 4 / 1.05) / b;
    return 0.7 / b + 0.9 * std::log(3.761 / b) / (3.761 - b) + 5 * gap / (5 + 4 * gap);
  };
  const double change = omega_200 * 2 * mu_0 * 0.1 * 1600 / 8 * (permeance(1) - permeance(3.5));
  expect_by_hand(sweep.value(0, "reactances.X_l") - sweep.value(1, "reactances.X_l"), change, 0.75, 1.2,
                 "leakage that the wider opening loses");
  // Common practice: cogging grows with the opening, faster than it where it is narrow.
  EXPECT_GT(sweep.value(1, "open-circuit.torque_cogging"), 3.5 * sweep.value(0, "open-circuit.torque_cogging"));
  EXPECT_LT(sweep.value(1, "open-circuit.E_phase"), sweep.value(0, "open-circuit.E_phase"));
}

TEST(ReadySweeps, AirGap) {
  const ReadyCase run("air-gap-sweep");
  run.expect_whole();
  run.expect_lesson();
  const double kw = distribution_factor(4) * pitch_factor(10.0 / 12);
  expect_winding(run, kw);
  // Gap line of the tapered pole (magnetic circuit) at the field of rated voltage. Band: as of the salient generator,
  // whose straight flux lines leave out what fringes from the tips.
  const TaperedPole pole{2, 0.12, 0.002, 0.106, 0.064, pi * 0.24 / 48, 0.0032};
  const double b = 400 / std::sqrt(3.0) * std::sqrt(2.0) / omega_50 / linkage(1, 0.119, 0.2, 2, 56 * kw);
  expect_by_hand(run.value("characteristics", "i_field_air_gap"), b / no_load_field(pole, 200), 0.95, 1.07,
                 "gap line of a tapered pole");
  const FewPoints sweep("air-gap-sweep", parameter("rotor.air_gap", "\"4 mm\""));
  // The same gap line twice as wide: the field current in this proportion. Band: 2.6 % is iron at 2 mm, less at 4 mm.
  TaperedPole wide = pole;
  wide.gap = 0.004;
  expect_by_hand(sweep.value(0, "characteristics.i_field_no_load") / run.value("characteristics", "i_field_no_load"),
                 no_load_field(pole, 1) / no_load_field(wide, 1), 0.96, 1.02, "field currents of two gaps");
  // Formula: the short-circuit ratio is 1/x_d; of x_d only the part through the gap follows the gap.
  const double x_d = 1 / run.value("characteristics", "short_circuit_ratio"), x_l = 0.11;  // pu, X_potier bounds X_l
  const double expected = 1 / (x_l + (x_d - x_l) * no_load_field(wide, 1) / no_load_field(pole, 1));
  expect_by_hand(sweep.value(0, "characteristics.short_circuit_ratio"), expected, 0.93, 1.07,
                 "short-circuit ratio of the wider gap");
}

/// Starting torque from the current: 3 I² R_2'/synchronous speed. Bars as equal rectangles (closed form of the deep
/// bar), aluminium at 75 degC, rings from their dimensions (memory: referred by 1/(2 sin²(pi p/N)) of a piece).
double starting_torque(double current, double height) {
  const double sigma = 35.38e6 / (1 + 0.00403 * 55), kw = 0.95766, bars = 40, area = 94e-6;
  const double x = height * std::sqrt(pi * 50 * mu_0 * sigma);
  const double deep = x * (std::sinh(2 * x) + std::sin(2 * x)) / (std::cosh(2 * x) - std::cos(2 * x));
  const double piece = pi * 0.138 / bars / (sigma * 0.024 * 0.014);
  const double bar = 0.18 / (sigma * area) * deep + piece / (2 * std::pow(std::sin(pi * 2 / bars), 2));
  return 3 * current * current * 12 * std::pow(80 * kw, 2) / bars * bar / (omega_50 / 2);
}

TEST(ReadySweeps, BarShape) {
  const ReadyCase run("bar-shape-sweep");
  run.expect_whole();
  run.expect_lesson();
  expect_winding(run, distribution_factor(4));
  // Band: the magnetising part of the current, some 5 %; a tapered bar has its narrow end where little current is.
  expect_by_hand(run.value("slip", "torque_mean"), starting_torque(run.value("slip", "I_phase"), 0.020), 0.75, 1.1,
                 "starting torque of deep bars");
  const FewPoints sweep("bar-shape-sweep", parameter("rotor.slot.body_height", "\"30.3 mm\"") +
                                               parameter("rotor.slot.width_top", "\"3.4 mm\"") +
                                               parameter("rotor.slot.width_bottom", "\"2.8 mm\""));
  expect_by_hand(sweep.value(0, "slip.torque_mean"), starting_torque(sweep.value(0, "slip.I_phase"), 0.0303), 0.75, 1.1,
                 "starting torque of deeper bars");
  // Common practice: the deeper bar leaks more, so that starting current and breakdown torque are less.
  EXPECT_LT(sweep.value(0, "slip.I_phase"), run.value("slip", "I_phase"));
}

TEST(ReadySweeps, LightMagnetMotor) {
  const ReadyCase run("light-magnet-motor");
  run.expect_whole();
  run.expect_lesson();
  const double kw = distribution_factor(2) * pitch_factor(5.0 / 6);
  expect_winding(run, kw);
  // T = 3/2 p lambda i_q (formula); the teeth saturate under load.
  expect_by_hand(run.value("operating-point", "torque_mean"), 6 * magnets_linkage(2.2e-3, kw) * 40 * std::sqrt(2.0),
                 0.94, 1.02, "torque of linkage and current");
  // What the search is asked for is there: tests/faults/optimise_test.cpp and search_test.cpp prove the search itself.
  Diagnostics faults;
  const std::string path = std::string(SOURCE_DIR) + "/cases/machines/light-magnet-motor.toml";
  const OptimisePlan plan = read_optimise_plan(parse_toml(read_text_file(path), path), faults);
  EXPECT_TRUE(faults.empty());
  EXPECT_EQ(plan.variables.size(), 3U);
  EXPECT_EQ(plan.constraints.size(), 3U);
}

}  // namespace
}  // namespace polepitch
