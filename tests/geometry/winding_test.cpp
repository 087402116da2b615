#include "geometry/winding.h"

#include <cmath>
#include <numeric>
#include <optional>

#include <gtest/gtest.h>

#include "tests/verification_helper.h"

using namespace polepitch;

namespace {

constexpr double pi = 3.14159265358979323846;

struct Asked {
  int slots, pole_pairs;
  int phases = 3, layers = 2;
  std::optional<int> span = std::nullopt;
  int turns = 1, paths = 1;
  IntegerTable coils = {};
};

WindingLayout lay_out(const Asked& asked) {
  Block block;
  block.path = "winding";
  block.place = {"machine.toml", 10, 1};
  const auto set = [&](const std::string& name, ValueData data) {
    block.values.set(name, {std::move(data), {"machine.toml", 11, 1}, true});
  };
  set("phases", asked.phases);
  set("layers", asked.layers);
  set("turns_per_coil", asked.turns);
  set("parallel_paths", asked.paths);
  set("strands", 1);
  if (asked.span) set("coil_span", *asked.span);
  if (!asked.coils.empty()) set("coils", asked.coils);
  return lay_out_winding(block, asked.slots, asked.pole_pairs);
}

std::string fault(const Asked& asked) {
  try {
    lay_out(asked);
  } catch (const InputError& error) {
    std::string text;
    for (const Diagnostic& d : error.diagnostics()) text += d.message + " | " + d.hint + "\n";
    return text;
  }
  return "none";
}

double factor(const WindingLayout& layout) {
  return std::abs(winding_factor(layout, layout.pole_pairs));
}

void record_factor(const std::string& what, double computed, double expected, const std::string& source,
                   const std::string& kind) {
  test::record_check("winding factor, " + what, computed, expected, 5e-7, "1", source, kind);
}

// One-sided sum of the largest equal samples of a wave: amplitude and phase of e^{jνθ} of the MMF.
std::complex<double> mmf_order(const WindingLayout& layout, const std::vector<double>& currents, int order) {
  const int samples = 7200 * 4;
  std::vector<double> angles(samples);
  for (int i = 0; i < samples; ++i) angles[i] = 2 * pi * (i + 0.5) / samples;
  const std::vector<double> mmf = mmf_waveform(layout, currents, angles);
  std::complex<double> sum = 0;
  for (int i = 0; i < samples; ++i) sum += mmf[i] * std::polar(1.0, -order * angles[i]);
  return sum * 2.0 / static_cast<double>(samples);
}

std::vector<double> balanced(int phases, double angle) {
  std::vector<double> currents(phases);
  for (int k = 0; k < phases; ++k) currents[k] = std::cos(angle - phase_axis(phases, k));
  return currents;
}

}  // namespace

// values.md: distribution factor q = 1 … 6 (formula: sin(π/6) / (q sin(π/6q))).
TEST(Winding, distribution_factors_of_full_pitch) {
  const double expected[] = {1, 0.965926, 0.959795, 0.957662, 0.956677, 0.956143};
  for (int q = 1; q <= 6; ++q) {
    record_factor(fmt::format("q = {}, full pitch", q), factor(lay_out({6 * q, 1})), expected[q - 1],
                  "sin(π/6)/(q sin(π/6q)) (formula)", test::kClosedForm);
    for (int layers : {1, 2})
      for (int p : {1, 3}) EXPECT_NEAR(factor(lay_out({6 * q * p, p, 3, layers})), expected[q - 1], 5e-7) << q;
  }
}

// formula: pitch factor sin(ν π/2 · y/τ) times distribution factor sin(νπ/6) / (q sin(νπ/6q)).
TEST(Winding, pitch_and_distribution_factors_to_the_49th) {
  const int q = 3, p = 2, tau = 9;
  for (int y = 5; y <= 9; ++y) {
    const WindingLayout layout = lay_out({36, p, 3, 2, y});
    for (int n = 1; n <= 49; n += 2) {
      const double expected = std::sin(n * pi / 2 * y / tau) * std::sin(n * pi / 6) / (q * std::sin(n * pi / (6 * q)));
      EXPECT_NEAR(std::abs(winding_factor(layout, n * p)), std::abs(expected), 1e-12) << y << " " << n;
      EXPECT_NEAR(winding_factor(layout, n * p).imag(), 0, 1e-12);  // symmetric about phase A's axis
    }
    for (int order : {1, 3, 5}) EXPECT_NEAR(std::abs(winding_factor(layout, order)), 0, 1e-12);  // no sub-harmonics
  }
}

// values.md, published roundings .933 .866 .945; single layer 12/10 0.965926.
TEST(Winding, tooth_coils) {
  const std::string source = "tables of tooth-coil windings print .933 .866 .945; digits by formula";
  const auto check = [&](const std::string& what, const Asked& asked, double expected) {
    record_factor("tooth coils, " + what, factor(lay_out(asked)), expected, source, test::kPublished);
  };
  check("12 slots 10 poles", {12, 5}, 0.933013);
  check("12 slots 8 poles", {12, 4}, 0.866025);
  check("9 slots 8 poles", {9, 4}, 0.945214);
  check("12 slots 10 poles, one layer", {12, 5, 3, 1}, 0.965926);
  check("12 slots 14 poles", {12, 7}, 0.933013);  // the same as 10 poles
  // formula: 12/10 has the order 1 (sub-harmonic of p = 5) at k = sin(π/12) · sin(π/12)
  EXPECT_NEAR(std::abs(winding_factor(lay_out({12, 5}), 1)), std::pow(std::sin(pi / 12), 2), 1e-12);
}

// formula: 30 slots 8 poles, q = 5/4: the base winding's distribution factor is that of q = 5, pitch 3 of 3.75.
TEST(Winding, fractional_slots_per_pole_and_phase) {
  const WindingLayout layout = lay_out({30, 4});
  record_factor("30 slots 8 poles", factor(layout), 0.956677 * std::sin(pi / 2 * 3 / 3.75),
                "distribution of q = 5, pitch 3 of 3.75 (formula)", test::kClosedForm);
  EXPECT_EQ(repetition(layout).sectors, 2);
  EXPECT_EQ(repetition(layout).sign, 1);
  const WindingLayout one_layer = lay_out({30, 4, 3, 1});
  EXPECT_EQ(one_layer.sides.size(), 30u);
  EXPECT_GT(factor(one_layer), 0.85);
}

// values.md: σ_δ of full-pitch windings, q = 1, 2, 3 (formula); q = 1 in closed form π²/9 − 1.
TEST(Winding, differential_leakage) {
  test::record_check("differential leakage, q = 1, full pitch", differential_leakage(lay_out({12, 2})), pi * pi / 9 - 1,
                     1e-12, "1", "π²/9 − 1 (formula)", test::kClosedForm);
  const double expected[] = {0.02844, 0.01406};
  for (int q : {2, 3})
    test::record_check(fmt::format("differential leakage, q = {}, full pitch", q),
                       differential_leakage(lay_out({12 * q, 2})), expected[q - 2], 5e-6, "1",
                       "series over all orders (formula)", test::kClosedForm);
}

// formula: the definition as a series, over the orders of the positive and the negative sequence.
TEST(Winding, differential_leakage_equals_its_series) {
  for (const Asked& asked : {Asked{24, 2, 3, 2, 5}, Asked{12, 5}, Asked{30, 4}, Asked{20, 1, 5}, Asked{16, 1, 2}}) {
    const WindingLayout layout = lay_out(asked);
    const int p = layout.pole_pairs, m = layout.phases;
    double sum = 0;
    for (int nu = 1; nu < 40000; ++nu) {
      std::complex<double> forward = 0, backward = 0;
      for (int k = 0; k < m; ++k) {
        const std::complex<double> factor = winding_factor(layout, nu, k) / static_cast<double>(m);
        forward += factor * std::polar(1.0, -phase_axis(m, k));
        backward += factor * std::polar(1.0, phase_axis(m, k));
      }
      sum += (std::norm(forward) + std::norm(backward)) / (1.0 * nu * nu);
    }
    const double own = std::norm(winding_factor(layout, p)) / (1.0 * p * p);
    const double tail = 1.0 / 40000 / own;  // every factor is at most 1
    EXPECT_NEAR(differential_leakage(layout), sum / own - 1, tail) << asked.slots;
    EXPECT_GE(differential_leakage(layout), sum / own - 1 - 1e-9) << asked.slots;
  }
}

// physics.md 1: phase A's axis at θ = 0. The field of A alone is greatest there and points outward.
TEST(Winding, phase_a_stands_at_angle_zero) {
  for (const Asked& asked : {Asked{36, 2}, Asked{36, 2, 3, 1}, Asked{24, 2, 3, 2, 5}, Asked{12, 5}, Asked{9, 4},
                             Asked{30, 4}, Asked{20, 2, 5}, Asked{12, 4, 3, 2}}) {
    const WindingLayout layout = lay_out(asked);
    const std::complex<double> a = winding_factor(layout, layout.pole_pairs, 0);
    EXPECT_GT(a.real(), 0.1);
    EXPECT_NEAR(a.imag(), 0, 1e-12);
    std::vector<double> current(layout.phases, 0.0);
    current[0] = 1;
    const std::complex<double> wave = mmf_order(layout, current, layout.pole_pairs);
    EXPECT_GT(wave.real(), 0);
    EXPECT_NEAR(wave.imag() / wave.real(), 0, 1e-3);  // sampling of steps
  }
}

TEST(Winding, mmf_of_full_pitch_phase_a_with_the_return_currents) {
  const WindingLayout layout = lay_out({36, 2, 3, 1, std::nullopt, 10});
  const std::vector<double> angles = {0, pi / 2, pi};
  const std::vector<double> mmf = mmf_waveform(layout, {1, -0.5, -0.5}, angles);
  // formula (Ampère): from crest to crest lie the belts −C, A, −B of three slots each, 10 conductors a slot:
  // 2 F = 10 (3 · ½ + 3 · 1 + 3 · ½) A.
  EXPECT_NEAR(mmf[0], 30, 1e-9);
  EXPECT_NEAR(mmf[1], -30, 1e-9);
  EXPECT_NEAR(mmf[2], 30, 1e-9);
}

// A at angle −90° electrical carries −z, at +90° +z (B_r = ∂A/∂θ / r, A peaks at +z currents).
TEST(Winding, outward_field_lies_clockwise_of_positive_conductors) {
  const WindingLayout layout = lay_out({6, 1, 3, 1});
  for (const CoilSide& side : layout.sides) {
    if (side.phase != 0) continue;
    EXPECT_NEAR(std::remainder(layout.slot_angle(side.slot) - side.sign * pi / 2, 2 * pi), 0, 1e-12);
  }
}

// formula: (m/2)(4/π)(k_w N/2p) Î, and the crest moves counter-clockwise with the phase of the supply.
TEST(Winding, rotating_field_amplitude_and_sense) {
  for (const Asked& asked :
       {Asked{36, 2, 3, 2, 8, 7, 2}, Asked{12, 5, 3, 2, 1, 20}, Asked{20, 1, 5, 1, std::nullopt, 3},
        Asked{16, 1, 2, 2, std::nullopt, 4}, Asked{24, 1, 6, 2, std::nullopt, 2}}) {
    const WindingLayout layout = lay_out(asked);
    const double expected =
        layout.phases / 2.0 * 4 / pi * factor(layout) * layout.turns_in_series() / (2.0 * layout.pole_pairs);
    for (double angle : {0.0, 0.4, 2.0}) {
      const std::complex<double> wave = mmf_order(layout, balanced(layout.phases, angle), layout.pole_pairs);
      EXPECT_NEAR(std::abs(wave), expected, 2e-3 * expected) << asked.slots;
      EXPECT_NEAR(std::remainder(std::arg(wave) + angle, 2 * pi), 0, 2e-3) << asked.slots;
    }
  }
}

TEST(Winding, waveform_agrees_with_the_winding_factors) {
  const WindingLayout layout = lay_out({30, 4, 3, 2, 3, 5});
  const double n = layout.turns_in_series();
  for (int nu : {1, 2, 4, 7, 8, 11, 14, 20})
    for (int k = 0; k < 3; ++k) {
      std::vector<double> current(3, 0.0);
      current[k] = 2;
      const std::complex<double> expected = 2 / pi * n / nu * 2.0 * std::conj(winding_factor(layout, nu, k));
      EXPECT_NEAR(std::abs(mmf_order(layout, current, nu) - expected), 0, 5e-3) << nu;
    }
}

TEST(Winding, phases_are_balanced) {
  for (const Asked& asked : {Asked{36, 2}, Asked{12, 5}, Asked{30, 4}, Asked{45, 4}, Asked{20, 2, 5}, Asked{15, 7, 5},
                             Asked{24, 1, 6}, Asked{8, 1, 2}, Asked{18, 2, 3, 1}}) {
    const WindingLayout layout = lay_out(asked);
    for (int k = 0; k < layout.phases; ++k) {
      const std::complex<double> own = winding_factor(layout, layout.pole_pairs, k);
      EXPECT_NEAR(std::abs(own - factor(layout) * std::polar(1.0, phase_axis(layout.phases, k))), 0, 1e-12)
          << asked.slots << " phase " << k;
    }
    int net = 0;
    for (const CoilSide& side : layout.sides) net += side.sign;
    EXPECT_EQ(net, 0);
    EXPECT_EQ(layout.sides.size(), static_cast<size_t>(asked.slots * asked.layers));  // every place is used once
    for (size_t i = 0; i < layout.sides.size(); ++i) {
      EXPECT_EQ(layout.sides[i].slot, static_cast<int>(i) / asked.layers);
      EXPECT_EQ(layout.sides[i].layer, static_cast<int>(i) % asked.layers);
    }
  }
}

// Two three-phase sets 30° apart: with axes π/6 apart these are phases 0, 2, 4 and 1, 3, 5, the middle one of each set
// reversed. formula: each set spreads 30°, distribution factor sin(15°)/(q sin(15°/q)), q = slots a pole and phase.
TEST(Winding, six_phases_are_two_shifted_sets) {
  const WindingLayout layout = lay_out({48, 2, 6});
  EXPECT_NEAR(factor(layout), std::sin(pi / 12) / (2 * std::sin(pi / 24)), 1e-12);
  const auto axis = [&](int k) { return std::arg(winding_factor(layout, 2, k)); };
  EXPECT_NEAR(axis(1) - axis(0), pi / 6, 1e-12);
  EXPECT_NEAR(std::remainder(axis(2) + pi - axis(0) - 4 * pi / 3, 2 * pi), 0, 1e-12);
  EXPECT_NEAR(std::remainder(axis(4) - axis(0) - 2 * pi / 3, 2 * pi), 0, 1e-12);
}

TEST(Winding, five_phases) {
  // formula: one slot a pole and phase, full pitch: 1; two: cos(π/20)
  EXPECT_NEAR(factor(lay_out({20, 2, 5})), 1, 1e-12);
  EXPECT_NEAR(factor(lay_out({40, 2, 5})), std::cos(pi / 20), 1e-12);
}

TEST(Winding, repetition_finds_the_smallest_sector) {
  const auto sectors = [](const Asked& asked) {
    const Repetition r = repetition(lay_out(asked));
    return r.sign * r.sectors;
  };
  EXPECT_EQ(sectors({36, 2}), -4);        // one pole, antiperiodic
  EXPECT_EQ(sectors({36, 2, 3, 1}), -4);  // the belts of one layer repeat pole by pole, too
  EXPECT_EQ(sectors({24, 2, 3, 2, 5}), -4);
  EXPECT_EQ(sectors({12, 4}), 4);   // two poles
  EXPECT_EQ(sectors({12, 5}), -2);  // five poles
  EXPECT_EQ(sectors({9, 4}), 1);
  EXPECT_EQ(sectors({30, 4}), 2);
}

TEST(Winding, turns_in_series_and_parallel_paths) {
  // formula: double layer, one coil a slot: 36/3 coils of 7 turns over 2 paths
  EXPECT_DOUBLE_EQ(lay_out({36, 2, 3, 2, std::nullopt, 7, 2}).turns_in_series(), 42);
  EXPECT_DOUBLE_EQ(lay_out({36, 2, 3, 1, std::nullopt, 7, 2}).turns_in_series(), 21);
  // common practice: as many paths as poles with two layers, as pole pairs with one
  EXPECT_EQ(equal_paths(lay_out({36, 2})), 4);
  EXPECT_EQ(equal_paths(lay_out({36, 2, 3, 1})), 2);
  EXPECT_EQ(equal_paths(lay_out({12, 4})), 4);
  EXPECT_EQ(equal_paths(lay_out({12, 5})), 2);
  const std::string text = fault({36, 2, 3, 2, std::nullopt, 7, 3});
  EXPECT_NE(text.find("parallel_paths = 3 does not divide the 4 equal coil groups"), std::string::npos) << text;
  EXPECT_NE(text.find("1, 2, 4"), std::string::npos) << text;
}

TEST(Winding, coil_table) {
  // The star's own 12/8 winding, written out: A at teeth 1, 4, 7, 10 …
  IntegerTable rows;
  for (int k = 0; k < 12; ++k) rows.push_back({k + 1, (k + 1) % 12 + 1, k % 3 == 0 ? 1 : k % 3 == 1 ? 2 : 3});
  const WindingLayout layout = lay_out({12, 4, 3, 2, std::nullopt, 1, 1, rows});
  EXPECT_NEAR(factor(layout), 0.866025, 5e-7);
  EXPECT_EQ(layout.sides.size(), 24u);
  EXPECT_NEAR(winding_factor(layout, 4).imag(), 0, 1e-12);
  EXPECT_GT(winding_factor(layout, 4).real(), 0);
  // Reversing every coil turns the layout by a pole pitch and leaves phase A at angle 0.
  for (auto& row : rows) row[2] = -row[2];
  EXPECT_GT(winding_factor(lay_out({12, 4, 3, 2, std::nullopt, 1, 1, rows}), 4).real(), 0);
}

TEST(Winding, coil_table_faults_are_told_all_at_once) {
  const std::string text =
      fault({6, 1, 3, 1, std::nullopt, 1, 1, {{1, 4, 1}, {2, 5, -9}, {3, 7, 2}, {3, 3, 2}, {1, 2}, {1, 5, 2}}});
  for (const char* part : {"row 2 of coils names phase -9", "row 3 of coils names slot 7, allowed are 1 to 6",
                           "row 4 of coils has both sides in slot 3", "row 5 of coils has 2 numbers instead of 3",
                           "row 6 of coils puts a further coil side into slot 1, which holds 1"})
    EXPECT_NE(text.find(part), std::string::npos) << part << "\n" << text;
}

TEST(Winding, unbalanced_coil_tables) {
  const IntegerTable good = {{1, 4, 1}, {3, 6, 2}, {5, 2, 3}};
  EXPECT_EQ(fault({6, 1, 3, 1, std::nullopt, 1, 1, good}), "none");
  const std::string swapped = fault({6, 1, 3, 1, std::nullopt, 1, 1, {{1, 4, 1}, {3, 6, 3}, {5, 2, 2}}});
  EXPECT_NE(swapped.find("axis of phase B stands -120 electrical degrees"), std::string::npos) << swapped;
  const std::string fewer = fault({6, 1, 3, 1, std::nullopt, 1, 1, {{1, 4, 1}, {3, 6, 2}}});
  EXPECT_NE(fewer.find("phase C has 0 coils, phase A has 1"), std::string::npos) << fewer;
  const std::string pitch = fault({6, 1, 3, 2, std::nullopt, 1, 1, {{1, 4, 1}, {3, 5, 2}, {5, 2, 3}}});
  EXPECT_NE(pitch.find("winding factor of phase B is 0.86603, that of phase A 1.00000"), std::string::npos) << pitch;
}

TEST(Winding, impossible_combinations_say_why_and_what_works) {
  const std::string slots = fault({10, 6});
  EXPECT_NE(slots.find("no balanced winding exists for 3 phases, 10 slots, 12 poles, 2 layers"), std::string::npos);
  EXPECT_NE(slots.find("nearest stator.slots that work: 9 and "), std::string::npos) << slots;
  const std::string poles = fault({12, 6});  // every slot sees the same phase: 12 slots, 12 poles
  EXPECT_NE(poles.find("cannot share equally"), std::string::npos) << poles;
  const std::string odd = fault({9, 4, 3, 1});
  EXPECT_NE(odd.find("one layer needs two slots a coil, and 9 is an odd number"), std::string::npos) << odd;
  const std::string span = fault({18, 2, 3, 1, 4});
  EXPECT_NE(span.find("coil_span that works with these slots: 1, "), std::string::npos) << span;
  const std::string whole = fault({24, 2, 3, 2, 12});
  EXPECT_NE(whole.find("enclose whole pole pairs"), std::string::npos) << whole;
  const std::string two_phase = fault({6, 1, 2});
  EXPECT_NE(two_phase.find("nearest stator.slots that work: 4 and 8"), std::string::npos) << two_phase;
}
