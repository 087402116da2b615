// The search on functions whose least values and fronts are known in closed form, through the same seam as a machine.
#include "cases/search.h"

#include <gtest/gtest.h>

#include <cmath>
#include <stdexcept>

namespace polepitch {
namespace {

using X = std::vector<double>;

SearchProblem problem_of(std::size_t variables, std::size_t objectives, std::size_t constraints,
                         std::function<Judged(const X&)> judge) {
  return {variables, objectives, constraints, std::move(judge)};
}

TEST(Search, LeastSumAtGivenProduct) {
  // formula: x + y under x y >= 0.16 is least at x = y = 0.4. A descent ends within some steps of 1e-3 of the box of
  // it; the sum is flat there, and the product may be missed by the tolerance of 1e-3.
  Search search(problem_of(2, 1, 1,
                           [](const X& x) {
                             return Judged{true, {x[0] + x[1]}, {1 - x[0] * x[1] / 0.16}};
                           }),
                {.start = {0.9, 0.8}});
  const auto best = search.least(0);
  ASSERT_TRUE(best);
  EXPECT_TRUE(search.meets(*best));
  EXPECT_NEAR(search.designs()[*best].judged.objectives[0], 0.8, 2e-3);
  EXPECT_NEAR(search.designs()[*best].x[0], 0.4, 0.03);
}

TEST(Search, FindsTheLowerOfManyValleys) {
  // published: the six-hump camel back function, least value -1.0316 (Dixon and Szego 1978; memory), two lowest of six
  // valleys. The descent's step of 1e-3 of a box of 6 by 4 leaves some 1e-4 of the value (its curvature is about 10).
  const auto camel = [](const X& s) {
    const double x = 6 * s[0] - 3, y = 4 * s[1] - 2;
    return Judged{true, {(4 - 2.1 * x * x + x * x * x * x / 3) * x * x + x * y + 4 * (y * y - 1) * y * y}, {}};
  };
  Search search(problem_of(2, 1, 0, camel), {.start = {0.1, 0.9}, .global_points = 100, .local_points = 60});
  const auto best = search.least(0);
  ASSERT_TRUE(best);
  EXPECT_NEAR(search.designs()[*best].judged.objectives[0], -1.0316, 5e-4);
  EXPECT_TRUE(search.arrived());
}

TEST(Search, NearestWhereNothingMeetsTheConstraints) {
  Search search(problem_of(2, 1, 1, [](const X& x) { return Judged{true, {x[1]}, {1.5 - x[0]}}; }), {});
  const auto best = search.least(0);
  ASSERT_TRUE(best);
  EXPECT_FALSE(search.meets(*best));
  EXPECT_NEAR(search.missed(*best), 0.5, 2e-3);  // formula: the box ends at x = 1
}

TEST(Search, GoesRoundWhatCannotBeSolved) {
  const auto judge = [](const X& x) { return x[0] + x[1] < 0.5 ? Judged{} : Judged{true, {x[0] + 2 * x[1]}, {}}; };
  Search search(problem_of(2, 1, 0, judge), {.start = {0.9, 0.9}, .global_points = 80, .local_points = 80});
  const auto best = search.least(0);
  ASSERT_TRUE(best);
  EXPECT_NEAR(search.designs()[*best].judged.objectives[0], 0.5, 0.03);  // at the corner (0.5, 0), which is in the box
  Search never(problem_of(2, 1, 0, [](const X&) { return Judged{}; }), {});
  EXPECT_FALSE(never.least(0)) << "nothing was ever solved";
}

TEST(Search, BegunAgainItAsksForTheSameDesignsAndJudgesNoneTwice) {
  std::map<X, Judged> memory;
  int judged = 0, most = 0;
  const auto judge = [&](const X& x) {
    if (const auto it = memory.find(x); it != memory.end()) return it->second;
    if (judged == most) throw std::runtime_error("stopped");
    ++judged;
    return memory[x] = Judged{true, {(x[0] - 0.3) * (x[0] - 0.3) + x[1], 1 - x[0] * x[1]}, {0.2 - x[1]}};
  };
  const auto front = [&] {
    Search search(problem_of(2, 2, 1, judge), {});
    std::vector<X> found;
    for (const std::size_t i : search.front()) found.push_back(search.designs()[i].x);
    return found;
  };
  std::vector<X> found;
  int stops = 0;
  for (; found.empty(); ++stops) try {
      most += 37;
      found = front();
    } catch (const std::runtime_error&) {
      EXPECT_EQ(memory.size(), static_cast<std::size_t>(judged));
    }
  EXPECT_GT(stops, 3);
  const int before = judged;
  EXPECT_EQ(front(), found);
  EXPECT_EQ(judged, before);
}

TEST(Front, OfTwoParabolasIsTheCurveInClosedForm) {
  // formula (Schaffer 1985): x^2 and (x - 2)^2 over -1 to 3: sqrt(f2) = 2 - sqrt(f1) for 0 <= f1 <= 4.
  const auto judge = [](const X& s) {
    const double x = 4 * s[0] - 1;
    return Judged{true, {x * x, (x - 2) * (x - 2)}, {}};
  };
  Search search(problem_of(1, 2, 0, judge), {.front_points = 9});
  const std::vector<std::size_t> front = search.front();
  EXPECT_GE(front.size(), 8U);
  for (const std::size_t i : front) {
    const auto& f = search.designs()[i].judged.objectives;
    EXPECT_NEAR(std::sqrt(f[1]), 2 - std::sqrt(f[0]), 0.01);
  }
  // The ends, to the tolerance of a cap and some steps: f1 = 0 and f2 = 0.
  EXPECT_NEAR(search.designs()[front.front()].judged.objectives[0], 0, 1e-3);
  EXPECT_NEAR(search.designs()[front.back()].judged.objectives[1], 0, 1e-3);
}

TEST(Front, ThatIsHollowIsFoundToo) {
  // formula (Fonseca and Fleming 1995): the designs of the front have x = y = t, |t| <= 1/sqrt 2; the curve is hollow,
  // so that no weighted sum of both finds its middle. With s = -ln(1 - f) the front is sqrt(s1) + sqrt(s2) = 2.
  const double a = std::sqrt(0.5);
  const auto judge = [a](const X& s) {
    const double x = 4 * s[0] - 2, y = 4 * s[1] - 2;
    const auto f = [](double u, double v) { return 1 - std::exp(-u * u - v * v); };
    return Judged{true, {f(x - a, y - a), f(x + a, y + a)}, {}};
  };
  Search search(problem_of(2, 2, 0, judge), {.global_points = 60, .local_points = 60, .front_points = 7});
  const std::vector<std::size_t> front = search.front();
  EXPECT_GE(front.size(), 6U);
  int middle = 0;
  for (const std::size_t i : front) {
    const auto& f = search.designs()[i].judged.objectives;
    EXPECT_NEAR(std::sqrt(-std::log1p(-f[0])) + std::sqrt(-std::log1p(-f[1])), 2, 0.02);
    middle += f[0] > 0.3 && f[0] < 0.9 && f[1] > 0.3 && f[1] < 0.9;
  }
  EXPECT_GE(middle, 2);
}

TEST(Front, UnderConstraintsLiesOnTheClosedForm) {
  // published (Binh and Korn 1997; memory): f1 = 4x^2 + 4y^2, f2 = (x-5)^2 + (y-5)^2, x to 5, y to 3, inside the circle
  // (x-5)^2 + y^2 <= 25, outside (x-8)^2 + (y+3)^2 >= 7.7. Front: x = y up to 3, then y = 3. So with f1 = 8 t^2 it has
  // f2 = 2 (t - 5)^2 for t <= 3, and f2 = (sqrt(f1/4 - 9) - 5)^2 + 4 beyond. Scales are about 50: 1 % of that.
  const auto judge = [](const X& s) {
    const double x = 5 * s[0], y = 3 * s[1];
    return Judged{true,
                  {4 * x * x + 4 * y * y, (x - 5) * (x - 5) + (y - 5) * (y - 5)},
                  {((x - 5) * (x - 5) + y * y) / 25 - 1, 1 - ((x - 8) * (x - 8) + (y + 3) * (y + 3)) / 7.7}};
  };
  Search search(problem_of(2, 2, 2, judge), {.local_points = 60, .front_points = 11});
  const std::vector<std::size_t> front = search.front();
  EXPECT_GE(front.size(), 9U);
  for (const std::size_t i : front) {
    EXPECT_TRUE(search.meets(i));
    const auto& f = search.designs()[i].judged.objectives;
    const double t = std::sqrt(f[0] / 8), x = std::sqrt(std::max(0.0, f[0] / 4 - 9));
    EXPECT_NEAR(f[1], t <= 3 ? 2 * (t - 5) * (t - 5) : (x - 5) * (x - 5) + 4, 0.5) << f[0];
  }
}

TEST(Front, OfThreeDistancesIsTheirTriangle) {
  // formula: of squared distances from three points no design outside their triangle is on the front, all inside are.
  const auto judge = [](const X& s) {
    const double x = 3 * s[0] - 1, y = 3 * s[1] - 1;
    return Judged{true, {x * x + y * y, (x - 1) * (x - 1) + y * y, x * x + (y - 1) * (y - 1)}, {}};
  };
  Search search(problem_of(2, 3, 0, judge), {.front_points = 4});
  const std::vector<std::size_t> front = search.front();
  EXPECT_GE(front.size(), 6U);
  for (const std::size_t i : front) {
    const double x = 3 * search.designs()[i].x[0] - 1, y = 3 * search.designs()[i].x[1] - 1;
    EXPECT_GE(x, -0.03);
    EXPECT_GE(y, -0.03);
    EXPECT_LE(x + y, 1.04);
  }
}

TEST(Search, NoDesignThatWasSolvedBeatsOneOfTheFront) {
  // The first objective does not know y, so that several designs share its value: only the best of them in the second
  // belongs to the front.
  const auto judge = [](const std::vector<double>& x) {
    Judged judged;
    judged.solved = true;
    judged.objectives = {1 + std::round(10 * x[0]) / 10, 1 + std::pow(1 - x[0], 2) + std::pow(x[1] - 0.3, 2)};
    return judged;
  };
  Search search(problem_of(2, 2, 0, judge), {.global_points = 12, .local_points = 6, .front_points = 5});
  const std::vector<std::size_t> front = search.front();
  EXPECT_GE(front.size(), 3U);
  for (const std::size_t i : front)
    for (const SearchedDesign& other : search.designs()) {
      const std::vector<double>&a = other.judged.objectives, &b = search.designs()[i].judged.objectives;
      EXPECT_FALSE(a[0] <= b[0] && a[1] <= b[1] && a != b) << a[0] << " " << a[1] << " beats " << b[0] << " " << b[1];
    }
}

TEST(Search, ChoicesAreLeftAloneByTheDescent) {
  // Three choices of a parabola's height (2, 1, 3) and its lowest place (0.2, 0.8, 0.5): the least is 1 at (1, 0.8).
  const auto bin = [](double share) { return std::min(2.0, std::floor(3 * share)); };
  const auto judge = [&](const X& x) {
    const double height[] = {2, 1, 3}, place[] = {0.2, 0.8, 0.5};
    const auto c = static_cast<std::size_t>(bin(x[0]));
    return Judged{true, {height[c] + std::pow(x[1] - place[c], 2)}, {}};
  };
  SearchProblem problem = problem_of(2, 1, 0, judge);
  problem.snap = [&](X x) { return X{(bin(x[0]) + 0.5) / 3, x[1]}; };
  problem.choices = {true, false};
  Search search(problem, {.start = {0.1, 0.5}, .global_points = 15, .local_points = 40});
  const auto best = search.least(0);
  ASSERT_TRUE(best);
  EXPECT_DOUBLE_EQ(search.designs()[*best].x[0], 0.5);
  EXPECT_NEAR(search.designs()[*best].x[1], 0.8, 2e-2);  // where the descent's steps end: flat to 1e-3² there
}

}  // namespace
}  // namespace polepitch
