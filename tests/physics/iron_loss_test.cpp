// Iron loss of a yoke round a turning magnet, in closed form (formula): a diametrically magnetised ring under a bore of
// vanishing reluctance makes B_r(R1) = Br (Rm² − Rr²)/(R1² − Rr²) cos θ; in the yoke R1 … R2, around which no flux
// returns, A = A1 (r/R2 − R2/r)/D sin θ with A1 = R1 B_r(R1), D = R1/R2 − R2/R1. Every place sees an ellipse with the
// half axes A/r and dA/dr, so that with the exponent 2
//     P = (k_h f + k_c f²) ρ L (A1/D)² 2π (R2²/R1² − R1²/R2²).
#include "post/iron_loss.h"

#include <gtest/gtest.h>

#include <cmath>

#include "tests/physics/ring_helper.h"
#include "tests/verification_helper.h"

namespace polepitch::test {
namespace {

constexpr double kBr = 1.2, kRr = 0.015, kRm = 0.020, kR1 = 0.021, kR2 = 0.030, kDensity = 7700;
constexpr IronLossCoefficients k{.hysteresis = 0.02, .exponent = 2, .classical = 9e-5};

RingMachine yoke(int sectors) {
  RingMachine m;
  m.rotor_radii = {kRr, kRm};
  m.stator_radii = {kR1, kR2};
  m.segments = 12;
  m.sectors = sectors;
  m.sign = sectors == 2 ? -1 : 1;
  m.inner = FarBoundary::permeable;
  m.dress = [](Side side, int ring, int, double, Region& r) {  // a third of the gap is a ring of either side
    if (side == Side::rotor && ring == 0) {
      r.material = "magnet";
      r.role = Role::magnet;
      r.magnetisation = {Magnetisation::Pattern::parallel, 0, 1};
    }
    if (side == Side::stator && ring == 1) {
      r.material = "iron";
      r.role = Role::core;
    }
  };
  return m;
}

double exact(double f) {
  const double a1 = kR1 * kBr * (kRm * kRm - kRr * kRr) / (kR1 * kR1 - kRr * kRr), d = kR1 / kR2 - kR2 / kR1;
  const double rings = 2 * pi * (std::pow(kR2 / kR1, 2) - std::pow(kR1 / kR2, 2));
  return (k.hysteresis * f + k.classical * f * f) * kDensity * a1 * a1 / (d * d) * rings;
}

IronLoss computed(int sectors, double f) {
  const Section section = draw_rings(yoke(sectors));
  const Mesh mesh = mesh_section(section, {1.5, true});
  Materials materials = ring_materials(kBr, 1);
  materials.at("iron").iron_loss = k;
  materials.at("iron").density = kDensity;
  StaticField field(section, mesh, materials);
  IronLossRecord record(field, materials, 24);
  for (int i = 0; i < record.positions(); ++i) {
    Excitation e;
    e.rotor_angle = i * record.step(section);
    record.add(i, field, field.solve(e));
  }
  return record.loss(f);
}

// 1e-3: B is a straight line in each triangle, and 48 samples of a period miss an ellipse's end by 2e-3 at most, in
// both senses alike; no term is fitted.
TEST(IronLossField, YokeRoundATurningMagnet) {
  for (int sectors : {1, 2}) {  // the whole period is solved, and half of it
    const IronLoss loss = computed(sectors, 60);
    record_check(sectors == 1 ? "iron loss of a yoke, whole circle" : "iron loss of a yoke, antiperiodic half",
                 loss.stator.total() / exact(60), 1, 1e-3, "1", "ellipses of a closed-form field", kClosedForm);
    EXPECT_EQ(loss.rotor.total(), 0);
  }
}

TEST(IronLossField, TermsFollowTheFrequency) {
  const IronLoss slow = computed(2, 10), fast = computed(2, 90);
  EXPECT_NEAR(fast.stator.hysteresis, 9 * slow.stator.hysteresis, 1e-9 * fast.stator.hysteresis);
  EXPECT_NEAR(fast.stator.classical, 81 * slow.stator.classical, 1e-9 * fast.stator.classical);
}

}  // namespace
}  // namespace polepitch::test
