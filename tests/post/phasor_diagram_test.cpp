// Phasor diagrams against worked circuit examples (Fitzgerald, Kingsley, Umans, memory; formula).
#include "post/phasor_diagram.h"

#include <gtest/gtest.h>

#include <cmath>

#include "post/figure_phasors.h"
#include "solver/bh_curve.h"

namespace polepitch {
namespace {

using Complex = std::complex<double>;

/// Per unit: U = 1 at the load angle −δ of a generator, current out of the terminal with this power factor angle.
LoadPhasors generator(double delta, double lag, double x_d, double x_q) {
  LoadPhasors load;
  load.voltage = std::polar(1.0, pi / 2 - delta);
  load.current = -std::polar(1.0, pi / 2 - delta - lag);
  load.x_d = x_d;
  load.x_q = x_q;
  load.generator = true;
  return load;
}

/// memory and formula: salient generator x_d 1.0, x_q 0.6, rated kVA, 0.8 lagging: E = 1.775041 at 19.440°.
TEST(PhasorDiagram, SalientGeneratorAtEightTenthsLagging) {
  const double delta = 19.440 * pi / 180;
  const PhasorDiagram d = phasor_diagram(generator(delta, std::acos(0.8), 1.0, 0.6));
  EXPECT_NEAR(std::abs(d.arrows[1].value), 1.775041, 2e-6);
  EXPECT_NEAR(std::arg(d.arrows[1].value) * 180 / pi, 19.440, 1e-3);
  EXPECT_NEAR(d.q_axis.value() * 180 / pi, 19.440, 1e-9);
}

/// formula: x_d 0.95, x_q 0.70, unity power factor: E = 1.364021, δ = 34.992°.
TEST(PhasorDiagram, SalientGeneratorAtUnityPowerFactor) {
  const PhasorDiagram d = phasor_diagram(generator(34.992 * pi / 180, 0, 0.95, 0.70));
  EXPECT_NEAR(std::abs(d.arrows[1].value), 1.364021, 2e-5);
  EXPECT_NEAR(std::arg(d.arrows[1].value) * 180 / pi, 34.992, 2e-3);
}

/// By construction: arrows of the chain join, voltage on the real axis, parts of the current add.
TEST(PhasorDiagram, ChainsCloseForMotorAndGenerator) {
  for (bool generates : {true, false}) {
    LoadPhasors load{.voltage = {-30, 225}, .current = {-20, 35}, .resistance = 0.3, .x_d = 4, .x_q = 2.5};
    load.generator = generates;
    const PhasorDiagram d = phasor_diagram(load);
    const auto& a = d.arrows;
    EXPECT_NEAR(a[0].value.imag(), 0, 1e-12);
    EXPECT_NEAR(std::abs(a[2].from - a[generates ? 0 : 1].value), 0, 1e-9);
    EXPECT_NEAR(std::abs(a[4].from + a[4].value - a[generates ? 1 : 0].value), 0, 1e-9);
    EXPECT_NEAR(std::abs(a[7].value - a[8].value - a[9].value), 0, 1e-9);
    const std::string svg = draw_phasor_figure(d).render(PictureFormat::svg);
    EXPECT_GT(svg.size(), 5000u);
  }
}

}  // namespace
}  // namespace polepitch
