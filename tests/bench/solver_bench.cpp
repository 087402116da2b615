// What a point costs: posing a mesh, a cold point, a warm point 3° electrical on, and its parts; then curves and maps
// with one worker and two. Counters: elements a pole, gap ratio R/g, Newton steps, factorisations and solves a point;
// `over_linear` is the point's processor time over that of its factorisations and solves, `fill` the factor's entries
// over those of both sides without the gap.
#include <benchmark/benchmark.h>
#include <malloc.h>
#include <time.h>

#include <cmath>
#include <memory>
#include <string>

#include "cases/case.h"
#include "cases/load.h"
#include "cases/run_studies.h"
#include "cases/sweep.h"
#include "geometry/mesh.h"
#include "solver/coupled_cholesky.h"
#include "solver/field_system.h"

namespace polepitch {
namespace {

struct Setup {
  Case kase;
  Section section;
  Mesh mesh;
  std::unique_ptr<StaticField> field;
  Load load;
};

/// As the studies solve, or `early`: ended where torque and linkages no longer move (see SolverOptions).
SolverOptions options_of(bool early) {
  SolverOptions options;
  options.tolerance = 1e-5;
  options.third_order = true;
  options.stop_change = early ? 1e-5 : 0;
  options.torque_scale = 200;  // N m, about rated of the machines measured
  return options;
}

Setup prepare(const std::string& name, double density, bool early = false) {
  pin_blas_to_one_thread();
  mallopt(M_MMAP_THRESHOLD, 1 << 28);  // as the program does
  mallopt(M_TRIM_THRESHOLD, 1 << 30);
  Setup s;
  s.kase = read_case(SOURCE_DIR "/cases/machines/" + name + ".toml");
  s.section = draw_section(s.kase.machine);
  s.mesh = mesh_section(s.section, {density});
  s.field = std::make_unique<StaticField>(s.section, s.mesh, s.kase.materials, options_of(early));
  // Near rated load.
  const bool cage = has_bars(s.section), six_poles = s.section.pole_pairs == 3;
  s.load.current = std::sqrt(2.0) * (six_poles ? 67 : cage ? 40 : 65);
  s.load.current_angle = cage ? 0 : -145 * pi / 180;
  s.load.field_current = cage ? 0 : 16;
  s.load.bar_current = six_poles ? 420 : cage ? 370 : 0;
  s.load.bar_angle = cage ? -155 * pi / 180 : 0;
  return s;
}

Excitation at_degrees(const Setup& s, double electrical) {
  return excite(s.section, s.load, electrical * pi / 180 / s.section.pole_pairs);
}

void describe(benchmark::State& state, const Setup& s) {
  state.counters["el/pole"] = s.mesh.triangles_per_pole(s.section.pole_pairs);
  state.counters["R/g"] = 0.5 * (s.section.stator_radius + s.section.rotor_radius) / s.section.gap();
}

double processor_time() {
  timespec now{};
  clock_gettime(CLOCK_THREAD_CPUTIME_ID, &now);
  return static_cast<double>(now.tv_sec) + 1e-9 * static_cast<double>(now.tv_nsec);
}

/// Sums over points of one solver, from its making on.
struct Account {
  double time = 0;
  int points = 0, steps = 0;
  LinearTimes before;

  explicit Account(const Setup& s) : before(s.field->linear_times()) {}
  StaticSolution solve(const Setup& s, const Excitation& e, const StaticSolution* start) {
    const double from = processor_time();
    StaticSolution solution = s.field->solve(e, start);
    time += processor_time() - from;
    ++points;
    steps += solution.newton_steps;
    return solution;
  }
  void report(benchmark::State& state, const Setup& s) const {
    const LinearTimes& now = s.field->linear_times();
    const double factorise = now.factorise - before.factorise, solves = now.solve - before.solve;
    describe(state, s);
    state.counters["steps"] = double(steps) / points;
    state.counters["factors"] = double(now.factorisations - before.factorisations) / points;
    state.counters["solves"] = double(now.solves - before.solves) / points;
    state.counters["factor_ms"] = 1e3 * factorise / (now.factorisations - before.factorisations);
    state.counters["solve_ms"] = 1e3 * solves / (now.solves - before.solves);
    state.counters["over_linear"] = time / (factorise + solves);
  }
};

double density_of(const benchmark::State& state) {
  return 0.01 * static_cast<double>(state.range(0));
}

void check(benchmark::State& state, const std::string& name) {
  const Case kase = read_case(SOURCE_DIR "/cases/machines/" + name + ".toml");
  for (auto _ : state) {
    const Section section = draw_section(kase.machine);
    benchmark::DoNotOptimize(mesh_section(section, {density_of(state)}));
  }
}

void pose(benchmark::State& state, const std::string& name) {
  const Setup s = prepare(name, density_of(state));
  for (auto _ : state) benchmark::DoNotOptimize(StaticField(s.section, s.mesh, s.kase.materials, options_of(false)));
  const FieldSystem system(s.section, s.mesh, s.kase.materials, {});
  describe(state, s);
  state.counters["fill"] = s.field->factor_entries() / SparseCholesky(system.pattern).factor_entries();
}

/// The annulus at a new angle: the reduced system of its orders, factorised.
void new_angle(benchmark::State& state, const std::string& name) {
  const Setup s = prepare(name, density_of(state));
  const FieldSystem system(s.section, s.mesh, s.kase.materials, {});
  CoupledCholesky cholesky(system.pattern, *system.annulus);
  std::vector<double> values = system.linear;
  for (int c = 0; c < system.size(); ++c) values[system.pattern.column_start[c]] += 1e4;  // iron is not in it
  cholesky.factorise(values, system.annulus->turn(0));
  double angle = 0;
  std::vector<double> y(system.size());
  for (auto _ : state) {
    cholesky.turn_to(system.annulus->turn(angle += 0.01));
    cholesky.couple(y);
  }
  describe(state, s);
  state.counters["orders"] = static_cast<double>(system.annulus->orders().size());
}

void cold_point(benchmark::State& state, const std::string& name) {
  const Setup s = prepare(name, density_of(state));
  Account account(s);
  for (auto _ : state) account.solve(s, at_degrees(s, 1), nullptr);
  account.report(state, s);
}

void warm_point(benchmark::State& state, const std::string& name, bool early) {
  const Setup s = prepare(name, density_of(state), early);
  double angle = 1;
  StaticSolution last = s.field->solve(at_degrees(s, angle));
  Account account(s);
  for (auto _ : state) last = account.solve(s, at_degrees(s, angle += 3), &last);
  account.report(state, s);
}

void run_points(benchmark::State& state, const std::string& name, const std::vector<Excitation>& points,
                const Setup& s) {
  FieldPool fields(s.section, s.mesh, s.kase.materials, options_of(state.range(2) != 0),
                   static_cast<int>(state.range(1)));
  StudyContext context{s.kase, s.section, s.mesh, fields, name, [](double) {}};
  for (auto _ : state) sweep(context, points, [](const SolvedPoint& p) { benchmark::DoNotOptimize(p.index); });
  describe(state, s);
  state.counters["workers"] = static_cast<double>(state.range(1));
}

void curve_of_60(benchmark::State& state, const std::string& name) {
  const Setup s = prepare(name, density_of(state));
  std::vector<Excitation> points;
  for (int k = 0; k < 60; ++k) points.push_back(at_degrees(s, 6 * k));
  run_points(state, name, points, s);
}

/// 20 × 20 currents i_d, i_q up to the load's, each at 6 positions over 60° electrical.
void current_map(benchmark::State& state, const std::string& name) {
  Setup s = prepare(name, density_of(state));
  const double largest = s.load.current;
  std::vector<Excitation> points;
  for (int d = 0; d < 20; ++d)
    for (int q = 1; q <= 20; ++q)
      for (int k = 0; k < 6; ++k) {
        const double i_d = -largest * d / 20, i_q = largest * q / 20;
        s.load.current = std::hypot(i_d, i_q);
        s.load.current_angle = std::atan2(i_q, i_d);
        points.push_back(at_degrees(s, 10 * (q % 2 ? k : 5 - k)));
      }
  run_points(state, name, points, s);
}

/// What one worker holds beside section and mesh, which all share.
void memory(benchmark::State& state, const std::string& name) {
  const Setup s = prepare(name, density_of(state));
  double held = 0;
  for (auto _ : state) {
    const auto used = [] {
      const struct mallinfo2 m = mallinfo2();
      return double(m.uordblks + m.hblkhd);
    };
    const double before = used();
    StaticField field(s.section, s.mesh, s.kase.materials, options_of(false));
    const StaticSolution solution = field.solve(at_degrees(s, 1));
    held = used() - before;
    benchmark::DoNotOptimize(solution.a.data());
  }
  describe(state, s);
  state.counters["MB"] = held / 1e6;
}

// Densities in hundredths: near 3,500 elements a pole, and (LARGE) near 10,000.
#define POLEPITCH_BENCH(NAME, SMALL, LARGE)                     \
  BENCHMARK_CAPTURE(check, NAME, std::string(NAME))             \
      ->Name("draw and mesh, " NAME)                            \
      ->Arg(SMALL)                                              \
      ->Unit(benchmark::kMillisecond);                          \
  BENCHMARK_CAPTURE(pose, NAME, std::string(NAME))              \
      ->Name("pose, " NAME)                                     \
      ->Arg(SMALL)                                              \
      ->Arg(LARGE)                                              \
      ->Unit(benchmark::kMillisecond);                          \
  BENCHMARK_CAPTURE(new_angle, NAME, std::string(NAME))         \
      ->Name("gap at a new angle, " NAME)                       \
      ->Arg(SMALL)                                              \
      ->Unit(benchmark::kMillisecond);                          \
  BENCHMARK_CAPTURE(cold_point, NAME, std::string(NAME))        \
      ->Name("cold point, " NAME)                               \
      ->Arg(SMALL)                                              \
      ->Arg(LARGE)                                              \
      ->Unit(benchmark::kMillisecond);                          \
  BENCHMARK_CAPTURE(warm_point, NAME, std::string(NAME), false) \
      ->Name("warm point, " NAME)                               \
      ->Arg(SMALL)                                              \
      ->Arg(LARGE)                                              \
      ->Unit(benchmark::kMillisecond);                          \
  BENCHMARK_CAPTURE(warm_point, early, std::string(NAME), true) \
      ->Name("warm point ended early, " NAME)                   \
      ->Arg(SMALL)                                              \
      ->Unit(benchmark::kMillisecond);                          \
  BENCHMARK_CAPTURE(curve_of_60, NAME, std::string(NAME))       \
      ->Name("60 angles, " NAME)                                \
      ->ArgsProduct({{SMALL}, {1, 2}, {0, 1}})                  \
      ->UseRealTime()                                           \
      ->Unit(benchmark::kMillisecond);                          \
  BENCHMARK_CAPTURE(memory, NAME, std::string(NAME))->Name("memory of a worker, " NAME)->Arg(LARGE)->Iterations(1)

POLEPITCH_BENCH("salient-generator", 68, 145);
POLEPITCH_BENCH("cage-motor", 47, 108);
POLEPITCH_BENCH("six-pole-cage-motor", 58, 120);
BENCHMARK_CAPTURE(current_map, salient, std::string("salient-generator"))
    ->Name("20 x 20 currents, 6 positions, salient-generator")
    ->Args({68, 2, 1})
    ->Iterations(1)
    ->UseRealTime()
    ->Unit(benchmark::kSecond);

}  // namespace
}  // namespace polepitch
