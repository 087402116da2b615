// Axis circuits of IEEE Std 1110: time constants and reactances of a published machine, closed forms of one rotor
// circuit, and fits that find a known circuit again.
#include "post/axis_circuit.h"

#include <gtest/gtest.h>

#include <cmath>
#include <numbers>

#include "post/axis_fit.h"
#include "tests/verification_helper.h"

namespace polepitch {
namespace {

using Complex = std::complex<double>;
constexpr double kOmega = 2 * std::numbers::pi * 60;

/// 555 MVA, 24 kV, 60 Hz turbine generator in per unit (P. Kundur, Power System Stability and Control, example 3.1 and
/// 4.1; memory). Reactances as inductances of per unit over 2π60 rad/s, so that time constants come out in seconds.
AxisCircuit direct_axis() {
  return {0.15 / kOmega, 1.66 / kOmega, 0, {{0.165 / kOmega, 0.0006}, {0.1713 / kOmega, 0.0284}}};
}
AxisCircuit quadrature_axis() {
  return {0.15 / kOmega, 1.61 / kOmega, 0, {{0.7252 / kOmega, 0.00619}, {0.125 / kOmega, 0.02368}}};
}

AxisResponse response_of(const AxisCircuit& c, bool wound, double low = 1e-3, double high = 1e3) {
  AxisResponse data{c.leakage, c.synchronous(), wound ? c.rotor[0].resistance : 0, {}, {}, {}};
  for (int k = 0; k <= 60; ++k) {
    data.omega.push_back(2 * std::numbers::pi * low * std::pow(high / low, k / 60.0));
    data.inductance.push_back(c.inductance({0, data.omega.back()}));
    if (wound) data.transfer.push_back(c.transfer({0, data.omega.back()}));
  }
  return data;
}

/// IEC 61970-302's relations give the book's standard parameters, printed to two or three digits.
TEST(AxisCircuit, RelationsGiveAPublishedMachinesParameters) {
  const char* source = "P. Kundur, Power System Stability and Control, example 4.1 (memory)";
  const auto check = [&](const std::string& what, double found, double book, double half_digit, const char* unit) {
    test::record_check("555 MVA machine by IEC 61970-302's relations: " + what, found, book, half_digit, unit, source,
                       test::kPublished);
  };
  const AxisConstants d = axis_constants_by_relations(direct_axis()),
                      q = axis_constants_by_relations(quadrature_axis());
  check("X'_d", kOmega * d.inductance[0], 0.30, 5e-3, "pu");
  check("X''_d", kOmega * d.inductance[1], 0.23, 5e-3, "pu");
  check("X'_q", kOmega * q.inductance[0], 0.65, 5e-3, "pu");
  check("X''_q", kOmega * q.inductance[1], 0.25, 5e-3, "pu");
  check("T'_do", d.open[0], 8.07, 5e-3, "s");
  check("T''_do", d.open[1], 0.03, 5e-4, "s");
  check("T'_qo", q.open[0], 1.0, 5e-3, "s");
  check("T''_qo", q.open[1], 0.07, 5e-4, "s");
}

/// One rotor circuit: everything in closed form, both ways the same. Several: the exact constants are the roots of
/// L(s) (code test: L(−1/T) is infinite, or 0), and the product of T_o/T is L_0/L'' (formula: L(s) at both ends).
TEST(AxisCircuit, ExactConstantsAreTheRootsOfTheInductance) {
  const AxisCircuit one{1e-3, 9e-3, 5e-4, {{2e-3, 0.1}}};
  const AxisConstants exact = axis_constants(one), relation = axis_constants_by_relations(one);
  EXPECT_NEAR(exact.open[0], (9e-3 + 5e-4 + 2e-3) / 0.1, 1e-12);
  EXPECT_NEAR(exact.inductance[0], 1e-3 + 9e-3 * 2.5e-3 / 11.5e-3, 1e-12);
  EXPECT_NEAR(exact.closed[0], exact.open[0] * exact.inductance[0] / 10e-3, 1e-12);  // T'_d = T'_do X'_d/X_d
  EXPECT_NEAR(relation.open[0], exact.open[0], 1e-12);
  EXPECT_NEAR(relation.closed[0], exact.closed[0], 1e-12);
  EXPECT_NEAR(relation.inductance[0], exact.inductance[0], 1e-15);
  for (const AxisCircuit& c : {direct_axis(), quadrature_axis()}) {
    const AxisConstants k = axis_constants(c);
    double product = 1;
    for (size_t i = 0; i < 2; ++i) {
      EXPECT_NEAR(std::abs(c.inductance(-1 / k.closed[i])) / c.synchronous(), 0, 1e-9);
      EXPECT_GT(std::abs(c.inductance(-1 / (k.open[i] * (1 + 1e-9)))) / c.synchronous(), 1e5);
      product *= k.open[i] / k.closed[i];
    }
    EXPECT_NEAR(product, c.synchronous() / k.inductance[1], 1e-9 * product);
    EXPECT_NEAR(std::real(c.inductance(1e9)), k.inductance[1], 1e-6 * k.inductance[1]);
  }
}

/// A known circuit's own response: the fit finds its elements again (formula; what is left is the method's end, 1e-6).
TEST(AxisFit, FindsAKnownCircuitAgain) {
  AxisCircuit unequal = direct_axis();
  unequal.series = -0.02 / kOmega;
  for (const auto& [known, wound] : {std::pair{direct_axis(), true}, {unequal, true}, {quadrature_axis(), false}}) {
    const AxisFit fit = fit_axis(response_of(known, wound), {2, known.series != 0});
    EXPECT_LT(fit.deviation, 1e-7);
    EXPECT_NEAR(fit.circuit.series, known.series, 1e-6 * known.leakage);
    for (size_t k = 0; k < 2; ++k) {
      test::record_check(fmt::format("fit of a known {} circuit: L of rotor circuit {} over its own",
                                     known.series != 0 ? "unequal"
                                     : wound           ? "d-axis"
                                                       : "q-axis",
                                     k + 1),
                         fit.circuit.rotor[k].inductance / known.rotor[k].inductance, 1, 1e-5, "1",
                         "the circuit itself (formula)", test::kClosedForm);
      EXPECT_NEAR(fit.circuit.rotor[k].resistance / known.rotor[k].resistance, 1, 1e-5);
    }
  }
}

/// Fewest circuits that are good enough; else the best. One circuit cannot follow two; two follow one exactly.
TEST(AxisFit, ChoosesTheFewestCircuitsThatAreGoodEnough) {
  const AxisResponse two = response_of(quadrature_axis(), false);
  std::vector<AxisFit> fits;
  for (int n : {0, 1, 2}) fits.push_back(fit_axis(two, {n, false}));
  EXPECT_GT(fits[0].deviation, fits[1].deviation);
  EXPECT_GT(fits[1].deviation, 0.01);
  EXPECT_EQ(choose_structure(fits, 0.01), 2u);
  EXPECT_EQ(choose_structure(fits, 1.0), 1u - 1u + (fits[0].deviation <= 1.0 ? 0u : 1u));
  AxisCircuit single = quadrature_axis();
  single.rotor.resize(1);
  fits.clear();
  for (int n : {0, 1, 2}) fits.push_back(fit_axis(response_of(single, false), {n, false}));
  EXPECT_EQ(choose_structure(fits, 0.01), 1u);
  // Of equal counts L_f1d has to halve what is left; beyond the tolerance the smallest deviation counts.
  fits.assign(2, {});
  fits[0].structure = {2, false}, fits[1].structure = {2, true};
  fits[0].deviation = 8e-3, fits[1].deviation = 5e-3;
  EXPECT_EQ(choose_structure(fits, 0.01), 0u);
  EXPECT_EQ(choose_structure(fits, 0.006), 1u);
  fits[1].deviation = 3e-3;
  EXPECT_EQ(choose_structure(fits, 0.01), 1u);
  std::swap(fits[0], fits[1]);
  EXPECT_EQ(choose_structure(fits, 0.01), 0u);
  EXPECT_THROW(fit_axis({1, 0.5, 0, {1}, {1}, {}}, {1, false}), std::invalid_argument);
  EXPECT_THROW(fit_axis({0.1, 0.5, 1, {1}, {1}, {}}, {1, false}), std::invalid_argument);
}

}  // namespace
}  // namespace polepitch
