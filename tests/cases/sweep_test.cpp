// Chains of a sweep. Expected: what the header promises (shares, evenness), and the same bits whoever solves a chain.
#include "cases/sweep.h"

#include <gtest/gtest.h>

#include <algorithm>

#include "cases/load.h"

namespace polepitch {
namespace {

TEST(Chains, AreEvenInNumberShortAndOfEqualLength) {
  for (size_t points = 1; points <= 500; ++points) {
    const size_t chains = chain_count(points);
    std::vector<size_t> length(chains, 0);
    for (size_t i = 0; i < points; ++i) {
      ASSERT_LT(chain_of(i, points), chains);
      ++length[chain_of(i, points)];
      if (i > 0) {
        EXPECT_GE(chain_of(i, points), chain_of(i - 1, points));
      }
    }
    const auto [least, most] = std::minmax_element(length.begin(), length.end());
    EXPECT_GE(*least, 1u);
    EXPECT_LE(*most, 20u);
    EXPECT_LE(*most - *least, 1u);
    if (points >= 6) {
      EXPECT_EQ(chains % 2, 0u) << points;
    }
  }
}

TEST(Chains, GiveTheSameBitsWithAnyNumberOfWorkers) {
  const Case kase = read_case(SOURCE_DIR "/tests/physics/salient.toml");
  const Section section = draw_section(kase.machine);
  const Mesh mesh = mesh_section(section, {0.25});
  Load load;
  load.current = 20;
  load.field_current = 8;
  std::vector<Excitation> points;
  for (int k = 0; k < 44; ++k) points.push_back(excite(section, load, 0.02 * k));
  std::vector<double> torque[3];
  for (int run = 0; run < 3; ++run) {
    FieldPool fields(section, mesh, kase.materials, {}, run + 1);
    StudyContext context{kase, section, mesh, fields, "sweep", [](double) {}};
    torque[run].resize(points.size());
    sweep(context, points, [&](const SolvedPoint& p) {
      EXPECT_EQ(&p.excitation, &points[p.index]);
      torque[run][p.index] = p.field.torque(p.solution);
    });
  }
  EXPECT_NE(torque[0].front(), torque[0].back());
  EXPECT_EQ(torque[0], torque[1]);
  EXPECT_EQ(torque[0], torque[2]);
}

}  // namespace
}  // namespace polepitch
