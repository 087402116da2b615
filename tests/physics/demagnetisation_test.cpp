// Magnets against their knee, in fields that are known in closed form.
#include "post/demagnetisation.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>

#include "tests/physics/machine_helper.h"
#include "tests/verification_helper.h"

namespace polepitch::test {
namespace {

constexpr double kPi = 3.14159265358979323846, kMu0 = 4e-7 * kPi;
constexpr double kRemanence = 1.15, kRecoil = 1.05;

Material material(const std::string& name, const std::string& kind, double mu_r) {
  Material m;
  m.name = name;
  m.kind = kind;
  m.mu_r = mu_r;
  return m;
}

/// A magnet magnetised along x, the knee at 20 degC as given, in a bore of iron or of air.
std::unique_ptr<TestMachine> machine(const std::string& rotor, double knee, double iron) {
  Materials own;
  Material magnet = material("demo-magnet", "magnet", kRecoil);
  magnet.remanence = kRemanence;
  magnet.knee_field = knee;
  magnet.knee_coefficient = -0.005;
  own["demo-magnet"] = magnet;
  own["linear-steel"] = material("linear-steel", "steel", iron);
  const std::string head = R"toml(title = "Magnet (invented)"
[machine]
pole_pairs = 1
length = "100 mm"
stator_material = "linear-steel"
outer_boundary = "open"
[stator]
type = "slotless"
bore_diameter = "44 mm"
shell_thickness = "4 mm"
outer_diameter = "120 mm"
zones = 6
zone_angle = "60 deg"
[rotor]
type = "layers"
)toml";
  return make_machine(head + rotor, 2.5, own, 1e-10);
}

// Formula: a long cylinder in air magnetised across its axis has H = −B_r/(mu_0 (mu_r + 1)) throughout.
TEST(Demagnetisation, CylinderInAir) {
  const double h = -kRemanence / (kMu0 * (kRecoil + 1)), knee = 1.25 * h;
  const auto m = machine("diameters = [\"40 mm\"]\nmaterials = [\"demo-magnet\"]\nmagnet_ring = 1\n", knee, 1);
  const StaticSolution s = m->field->solve({std::vector<double>(m->section.branches.size(), 0.0), 0, 1});
  const auto cold = knee_fields(m->section, m->kase.materials, 293.15);
  ASSERT_TRUE(cold.has_value());
  const Demagnetisation whole = demagnetisation(*m->field, s, *cold);
  record_check("H of a cylinder magnetised across, over the knee", whole.reached, 0.8, 2e-4, "1",
               "-B_r/(mu_0 (mu_r + 1)) (formula)", kClosedForm);
  EXPECT_EQ(whole.share, 0);
  // 60 K more bring the knee to 0.7 of its value, within the field: all of the magnet is lost.
  const auto hot = knee_fields(m->section, m->kase.materials, 353.15);
  EXPECT_NEAR(demagnetisation(*m->field, s, *hot).reached, 0.8 / 0.7, 3e-4);
  EXPECT_EQ(demagnetisation(*m->field, s, *hot).share, 1);
  int triangles = 0;
  for (int region : m->mesh.region) triangles += (*hot)[static_cast<size_t>(region)] < 0;
  EXPECT_EQ(static_cast<int>(demagnetised_triangles(*m->field, s, *hot).size()), triangles);
  EXPECT_TRUE(demagnetised_triangles(*m->field, s, *cold).empty());
}

// Formula: a ring from r_i to r_o around iron, H_x = −a (1 + (r_i/r)² cos 2θ) where the potential is a (r − r_i²/r) cos
// θ (from matching to the gap under iron at r_b); the share past a knee by summing over the ring.
TEST(Demagnetisation, RingBetweenIron) {
  const double inner = 0.014, outer = 0.020, bore = 0.026;
  const double share = (outer - inner * inner / outer) / (outer - bore * bore / outer);
  const double a = kRemanence / kMu0 /
                   (kRecoil * (1 + inner * inner / (outer * outer)) - share * (1 + bore * bore / (outer * outer)));
  const double knee = -1.2 * a;
  const auto m =
      machine("diameters = [\"28 mm\", \"40 mm\"]\nmaterials = [\"linear-steel\", \"demo-magnet\"]\nmagnet_ring = 2\n",
              knee, 1e6);
  const StaticSolution s = m->field->solve({std::vector<double>(m->section.branches.size(), 0.0), 0, 1});
  double past = 0, all = 0;
  std::vector<std::pair<double, double>> reached;  // and area
  for (int i = 0; i < 400; ++i)
    for (int k = 0; k < 1440; ++k) {
      const double r = inner + (i + 0.5) / 400 * (outer - inner), angle = (k + 0.5) * kPi / 720;
      all += r;
      reached.emplace_back((1 + inner * inner / (r * r) * std::cos(2 * angle)) / 1.2, r);
      if (1 + inner * inner / (r * r) * std::cos(2 * angle) > 1.2) past += r;
    }
  const Demagnetisation d = demagnetisation(*m->field, s, *knee_fields(m->section, m->kase.materials, 293.15));
  record_check("share of a ring magnet past a knee", d.share, past / all, 0.01, "1", "scalar potential (formula)",
               kClosedForm);
  EXPECT_GT(past / all, 0.2);
  std::sort(reached.begin(), reached.end());
  double under = 0;
  size_t k = 0;
  while (under < 0.99 * all) under += reached[k++].second;
  // To the triangles' size: a hundredth of the area is a few of them, over which the field changes by some per cent.
  record_check("field that 99 % of a ring magnet stays under, over the knee", d.reached, reached[k - 1].first, 0.01,
               "1", "scalar potential (formula)", kClosedForm);
}

TEST(Demagnetisation, OmittedWithoutAKnee) {
  const auto m = machine("diameters = [\"40 mm\"]\nmaterials = [\"demo-magnet\"]\nmagnet_ring = 1\n", -1e6, 1);
  Materials materials = m->kase.materials;
  materials["demo-magnet"].knee_field.reset();
  EXPECT_FALSE(knee_fields(m->section, materials, 293.15).has_value());
}

}  // namespace
}  // namespace polepitch::test
