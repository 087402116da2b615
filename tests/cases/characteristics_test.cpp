// The characteristics' studies on a small machine. Expected: identities of linear machines (formula), single fields
// solved here, and what the conventions say of signs.
#include "cases/characteristics.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>

#include "cases/characteristic_studies.h"
#include "cases/emf_waveform.h"
#include "post/emf.h"
#include "tests/cases/case_text_helper.h"

namespace polepitch {
namespace {

std::string machine() {
  return read_text_file(std::string(SOURCE_DIR) + "/tests/physics/salient.toml");
}

/// Rated voltage at the knee of this machine's iron.
std::string at_the_knee() {
  return replaced(machine(), "400 V", "250 V");
}

/// A case on a coarse mesh: what is compared is of the same mesh.
struct Bench {
  explicit Bench(const std::string& text) {
    write_text(directory / "case.toml", text);
    kase = read_case(directory / "case.toml");
    section = draw_section(kase.machine);
    mesh = mesh_section(section, {0.25});
    fields = std::make_unique<FieldPool>(section, mesh, kase.materials, SolverOptions{}, 2);
    context =
        std::make_unique<StudyContext>(StudyContext{kase, section, mesh, *fields, "characteristics", [](double) {}});
  }
  StudyResult run(const std::string& name) const {
    for (const StudyType& type : study_types())
      if (type.name == name) {
        type.check(kase, section, kase.studies.at(0));
        return type.run(*context, kase.studies.at(0));
      }
    throw std::logic_error("no study " + name);
  }
  FreshDirectory directory;
  Case kase;
  Section section;
  Mesh mesh;
  std::unique_ptr<FieldPool> fields;
  std::unique_ptr<StudyContext> context;
};

std::string with_study(const std::string& text, const std::string& type, const std::string& keys = "") {
  return text + "\n[[study]]\ntype = \"" + type + "\"\n" + keys;
}

double value(const StudyResult& result, const std::string& name) {
  for (const Quantity& q : result.results.quantities)
    if (q.name == name) return q.value;
  ADD_FAILURE() << "no quantity " << name;
  return 0;
}

bool has(const StudyResult& result, const std::string& name) {
  return std::any_of(result.results.quantities.begin(), result.results.quantities.end(),
                     [&](const Quantity& q) { return q.name == name; });
}

const std::vector<double>& column(const StudyResult& result, const std::string& curve, size_t number) {
  for (const ResultCurve& c : result.results.curves)
    if (c.name == curve) return c.columns.at(number).values;
  throw std::logic_error("no curve " + curve);
}

const char* kFew = "positions = 3\npoints = 6\nemf_positions = 12\ncogging_angles = 6\n";

TEST(Characteristics, OfALinearMachineGiveItsReactance) {
  // Iron of constant permeability: i_fk/i_fg times the base impedance is X_d of any field (formula), and no curve
  // bends.
  std::string text = replaced(at_the_knee(), "M400-50A", "linear-steel");
  text = replaced(text, "rotor_material = \"demo-steel\"",
                  "rotor_material = \"linear-steel\"\nshaft_material = \"linear-steel\"");
  const Bench bench(with_study(text, "characteristics", kFew));
  const StudyResult result = bench.run("characteristics");
  SteadyState steady(*bench.context, steady_options(*bench.context, 3, true));
  steady.at({-5, 0}, 3);
  const double x_d = steady.options().omega * steady.frozen().apparent.dd;
  EXPECT_NEAR(value(result, "X_d_unsaturated"), x_d, 2e-5 * x_d);
  EXPECT_NEAR(value(result, "X_d_saturated"), x_d, 2e-5 * x_d);
  EXPECT_NEAR(value(result, "saturation_factor"), 0, 2e-5);
  EXPECT_FALSE(has(result, "X_potier"));
  EXPECT_FALSE(result.results.warnings.empty());
}

/// Run once: each check below reads the same results.
struct Saturated {
  static const Bench& bench() {
    static const Bench b(with_study(at_the_knee(), "characteristics", kFew));
    return b;
  }
  static const StudyResult& result() {
    static const StudyResult r = bench().run("characteristics");
    return r;
  }
  static double rated_voltage() { return 250 / std::sqrt(3.0); }
  static void fieldCurrentOfRatedVoltageInOneFieldSolvedHere();
  static void numbersFollowFromTheFieldCurrents();
  static void potierReactanceLiesAboveTheLeakage();
  static void ratedFieldCurrentOfBothMethodsIsNearTheFieldsOwn();
  static void zeroPowerFactorCurveGoesFromTheShortCircuitThroughRatedVoltage();
  static void shortCircuitHasNoLinkage();
  static void voltageWaveformIsTheDerivativeOfFieldsSolvedOverTheWholePeriod();
  static void fourConstructionsAndTheirPointsAreInTheResults();
};

void Saturated::fieldCurrentOfRatedVoltageInOneFieldSolvedHere() {
  const double i_f = value(result(), "i_field_no_load"), angle = 0.1;
  StaticField& field = bench().fields->of(0);
  const Dq linkage =
      phases_to_dq(bench().section, field.linkages(field.solve(dq_excitation(bench().section, {}, i_f, angle))), angle);
  // One position against the mean of three: the ripple of the linkage.
  EXPECT_NEAR(2 * pi * 50 * std::hypot(linkage.d, linkage.q) / std::sqrt(2.0), rated_voltage(), 0.01 * rated_voltage());
  EXPECT_GT(linkage.d, 0);
  EXPECT_NEAR(value(result(), "E_phase"), rated_voltage(), 1e-5 * rated_voltage());
  EXPECT_NEAR(value(result(), "E_line"), 250, 1e-5 * 250);
}

void Saturated::numbersFollowFromTheFieldCurrents() {
  const double i_f0 = value(result(), "i_field_no_load"), i_fg = value(result(), "i_field_air_gap");
  EXPECT_GT(i_f0, i_fg);
  EXPECT_NEAR(value(result(), "saturation_factor"), (i_f0 - i_fg) / i_fg, 1e-5);
  EXPECT_GT(value(result(), "saturation_factor_120"), value(result(), "saturation_factor"));
  EXPECT_NEAR(value(result(), "short_circuit_ratio") * value(result(), "x_d_saturated"), 1, 1e-12);  // by definition
  EXPECT_GT(value(result(), "X_d_unsaturated"), value(result(), "X_d_saturated"));
  // Another method: frozen reluctivity, where the iron is as on the air-gap line. Band: the iron's share of the MMF on
  // short circuit, at little flux, is not the one on the line.
  SteadyState steady(*bench().context, steady_options(*bench().context, 3, true));
  steady.at(0, 0.4 * i_fg);
  const double x_d = steady.options().omega * steady.frozen().apparent.dd;
  EXPECT_NEAR(value(result(), "X_d_unsaturated"), x_d, 0.02 * x_d);
}

void Saturated::potierReactanceLiesAboveTheLeakage() {
  SteadyState steady(*bench().context, steady_options(*bench().context, 3, true));
  steady.at(0, value(result(), "i_field_no_load"));
  const FrozenInductances frozen = steady.frozen();
  const double x_l = steady.options().omega * frozen.leakage_d(), x_p = value(result(), "X_potier");
  // Common practice: X_p is X_l and up to three times as much with salient poles, whose own leakage saturates.
  EXPECT_GT(x_p, 0.9 * x_l);
  EXPECT_LT(x_p, 3 * x_l);
}

void Saturated::ratedFieldCurrentOfBothMethodsIsNearTheFieldsOwn() {
  SteadyState steady(*bench().context, steady_options(*bench().context, 3, true));
  Terminal terminal;
  terminal.given = Terminal::Given::powers;
  terminal.voltage = std::sqrt(2.0) * rated_voltage();
  terminal.power = -0.8 * 20e3;
  terminal.reactive = -0.6 * 20e3;
  const double i_f = steady.solve(terminal).field_current;
  // Common practice: a few per cent, since both take the poles' saliency for none.
  EXPECT_NEAR(value(result(), "i_field_rated_potier"), i_f, 0.06 * i_f);
  EXPECT_NEAR(value(result(), "i_field_rated_increment"), i_f, 0.06 * i_f);
}

void Saturated::zeroPowerFactorCurveGoesFromTheShortCircuitThroughRatedVoltage() {
  const std::vector<double>&i_f = column(result(), "zero_power_factor", 0),
        &u = column(result(), "zero_power_factor", 1);
  EXPECT_NEAR(i_f.front(), value(result(), "i_field_short_circuit"), 1e-9);
  EXPECT_EQ(u.front(), 0);
  const auto rated = std::find_if(u.begin(), u.end(), [](double v) { return std::abs(v - rated_voltage()) < 1e-6; });
  ASSERT_NE(rated, u.end());
  EXPECT_NEAR(i_f[static_cast<size_t>(rated - u.begin())], value(result(), "i_field_zero_power_factor"), 1e-9);
  // Sign: the armature takes field away, so more is needed than on no load. No resistance is known here: the point is
  // that of a pure d-axis current, whose voltage one call gives.
  SteadyState steady(*bench().context, steady_options(*bench().context, 3, true));
  EXPECT_EQ(steady.options().resistance, 0);
  const Rated base = rated_of(bench().kase);
  const SteadyPoint point =
      steady.at({-std::sqrt(2.0) * base.current, 0}, value(result(), "i_field_zero_power_factor"));
  EXPECT_NEAR(std::abs(point.voltage) / std::sqrt(2.0), rated_voltage(), 1e-4 * rated_voltage());
}

void Saturated::shortCircuitHasNoLinkage() {
  SteadyState steady(*bench().context, steady_options(*bench().context, 3, true));
  const Rated base = rated_of(bench().kase);
  const SteadyPoint point = steady.at({-std::sqrt(2.0) * base.current, 0}, value(result(), "i_field_short_circuit"));
  EXPECT_LT(std::abs(point.voltage.imag()), 1e-4 * base.voltage);  // omega lambda_d
  EXPECT_LT(std::abs(point.voltage.real()), 2e-3 * base.voltage);  // of lambda_q: what three positions leave of ripple
}

void Saturated::voltageWaveformIsTheDerivativeOfFieldsSolvedOverTheWholePeriod() {
  const EmfRequest request{value(result(), "i_field_no_load"), 6, {}};
  StudyResult scratch;
  const std::vector<double> period = linkage_period(*bench().context, request, scratch, 0, 1);
  ASSERT_EQ(period.size(), 36u);
  StaticField& field = bench().fields->of(0);
  double largest = 0;
  for (double v : period) largest = std::max(largest, std::abs(v));
  for (size_t k = 0; k < period.size(); k += 5) {
    const double angle = 2 * pi * static_cast<double>(k) / 36 / bench().section.pole_pairs;
    const auto e = dq_excitation(bench().section, {}, request.field_current, angle);
    EXPECT_NEAR(period[k], field.linkages(field.solve(e))[0], 2e-3 * largest) << k;
  }
  // Signs: linkage largest with the pole on phase A's axis; a quarter later the voltage is negative, d(lambda)/dt.
  EXPECT_NEAR(period[0], largest, 0.05 * largest);
  const std::vector<double>& u = column(result(), "emf", 1);
  EXPECT_LT(u[90], -rated_voltage());
  EXPECT_GT(u[270], rated_voltage());
  double fundamental = 0;
  for (size_t k = 0; k < u.size(); ++k) fundamental -= u[k] * std::sin(2 * pi * static_cast<double>(k) / 360) / 180;
  EXPECT_NEAR(fundamental / std::sqrt(2.0), rated_voltage(), 5e-3 * rated_voltage());
}

void Saturated::fourConstructionsAndTheirPointsAreInTheResults() {
  std::vector<std::string> names;
  for (const Construction& c : result().results.constructions) {
    names.push_back(c.name);
    EXPECT_EQ(c.study, "characteristics");
    EXPECT_FALSE(c.points.empty() || c.lines.empty() || c.source.empty());
  }
  EXPECT_EQ(names, (std::vector<std::string>{"saturation_factors", "short_circuit_ratio", "potier_triangle",
                                             "potier_diagram", "saturation_increment"}));
}

TEST(Characteristics, OfASaturatedMachine) {
  Saturated::fieldCurrentOfRatedVoltageInOneFieldSolvedHere();
  Saturated::numbersFollowFromTheFieldCurrents();
  Saturated::potierReactanceLiesAboveTheLeakage();
  Saturated::ratedFieldCurrentOfBothMethodsIsNearTheFieldsOwn();
  Saturated::zeroPowerFactorCurveGoesFromTheShortCircuitThroughRatedVoltage();
  Saturated::shortCircuitHasNoLinkage();
  Saturated::voltageWaveformIsTheDerivativeOfFieldsSolvedOverTheWholePeriod();
  Saturated::fourConstructionsAndTheirPointsAreInTheResults();
}

TEST(CharacteristicStudies, OfMagnetsGiveVoltageAndOneCurrent) {
  const std::string text = read_text_file(std::string(SOURCE_DIR) + "/cases/machines/surface-magnet-motor.toml");
  const std::string head = text.substr(0, text.find("[[study]]"));
  const Bench open(with_study(head, "open-circuit", "positions = 3\nemf_positions = 12\ncogging_angles = 6\n"));
  const StudyResult result = open.run("open-circuit");
  const double e = value(result, "E_phase");
  EXPECT_GT(e, 0);
  EXPECT_GT(value(result, "torque_cogging"), 0);
  const Bench shorted(with_study(head, "short-circuit", "positions = 3\nresistance = false\n"));
  const double current = value(shorted.run("short-circuit"), "I_short_circuit");
  // Formula, unsaturated: I = E/X_d, X_d of the field frozen at that point.
  SteadyState steady(*shorted.context, steady_options(*shorted.context, 3, false));
  steady.at({-std::sqrt(2.0) * current, 0}, 0);
  const double x_d = steady.options().omega * steady.frozen().apparent.dd;
  EXPECT_NEAR(current, e / x_d, 0.1 * current);
}

TEST(CharacteristicStudies, SayWhyTheyDoNotFit) {
  const std::string text = read_text_file(std::string(SOURCE_DIR) + "/cases/machines/surface-magnet-motor.toml");
  const Bench magnets(with_study(text.substr(0, text.find("[[study]]")), "zero-power-factor"));
  EXPECT_THROW(magnets.run("zero-power-factor"), InputError);
}

}  // namespace
}  // namespace polepitch
