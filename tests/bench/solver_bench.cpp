// What a point costs: posing a mesh, a cold point, a warm point 3° electrical on, and its parts; then a curve of 60
// angles with one worker and two. Counters: elements a pole, gap ratio R/g, Newton steps a point.
#include <benchmark/benchmark.h>
#include <malloc.h>

#include <cmath>
#include <memory>
#include <string>

#include "cases/case.h"
#include "cases/load.h"
#include "cases/run_studies.h"
#include "cases/sweep.h"
#include "geometry/mesh.h"
#include "solver/sparse_cholesky.h"

namespace polepitch {
namespace {

struct Setup {
  Case kase;
  Section section;
  Mesh mesh;
  std::unique_ptr<StaticField> field;
  Load load;
};

Setup prepare(const std::string& name, double density) {
  pin_blas_to_one_thread();
  mallopt(M_MMAP_THRESHOLD, 1 << 28);  // as the program does
  mallopt(M_TRIM_THRESHOLD, 1 << 30);
  Setup s;
  s.kase = read_case(SOURCE_DIR "/cases/machines/" + name + ".toml");
  s.section = draw_section(s.kase.machine);
  s.mesh = mesh_section(s.section, {density});
  s.field = std::make_unique<StaticField>(s.section, s.mesh, s.kase.materials);
  // Near rated load of the two demos.
  const bool cage = has_bars(s.section);
  s.load.current = std::sqrt(2.0) * (cage ? 40 : 65);
  s.load.current_angle = cage ? 0 : -145 * pi / 180;
  s.load.field_current = cage ? 0 : 16;
  s.load.bar_current = cage ? 370 : 0;
  s.load.bar_angle = cage ? -155 * pi / 180 : 0;
  return s;
}

Excitation at_degrees(const Setup& s, double electrical) {
  return excite(s.section, s.load, electrical * pi / 180 / s.section.pole_pairs);
}

void describe(benchmark::State& state, const Setup& s, double steps) {
  state.counters["el/pole"] = s.mesh.triangles_per_pole(s.section.pole_pairs);
  state.counters["R/g"] = 0.5 * (s.section.bore_radius + s.section.rotor_radius) / s.section.gap();
  if (steps > 0) state.counters["steps"] = steps;
}

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
  for (auto _ : state) benchmark::DoNotOptimize(StaticField(s.section, s.mesh, s.kase.materials));
  describe(state, s, 0);
}

void cold_point(benchmark::State& state, const std::string& name) {
  Setup s = prepare(name, density_of(state));
  double steps = 0;
  for (auto _ : state) steps += s.field->solve(at_degrees(s, 1)).newton_steps;
  describe(state, s, steps / static_cast<double>(state.iterations()));
}

void warm_point(benchmark::State& state, const std::string& name) {
  Setup s = prepare(name, density_of(state));
  double angle = 1, steps = 0;
  StaticSolution last = s.field->solve(at_degrees(s, angle));
  for (auto _ : state) {
    last = s.field->solve(at_degrees(s, angle += 3), &last);
    steps += last.newton_steps;
  }
  describe(state, s, steps / static_cast<double>(state.iterations()));
}

void curve_of_60(benchmark::State& state, const std::string& name) {
  Setup s = prepare(name, density_of(state));
  FieldPool fields(s.section, s.mesh, s.kase.materials, {}, static_cast<int>(state.range(1)));
  StudyContext context{s.kase, s.section, s.mesh, fields, "bench", [](double) {}};
  std::vector<Excitation> points;
  for (int k = 0; k < 60; ++k) points.push_back(at_degrees(s, 6 * k));
  for (auto _ : state) sweep(context, points, [](const SolvedPoint& p) { benchmark::DoNotOptimize(p.index); });
  describe(state, s, 0);
  state.counters["workers"] = static_cast<double>(state.range(1));
}

#define POLEPITCH_BENCH(NAME)                             \
  BENCHMARK_CAPTURE(check, NAME, std::string(NAME))       \
      ->Name("draw and mesh, " NAME)                      \
      ->Arg(60)                                           \
      ->Arg(100)                                          \
      ->Unit(benchmark::kMillisecond);                    \
  BENCHMARK_CAPTURE(pose, NAME, std::string(NAME))        \
      ->Name("pose, " NAME)                               \
      ->Arg(60)                                           \
      ->Arg(100)                                          \
      ->Unit(benchmark::kMillisecond);                    \
  BENCHMARK_CAPTURE(cold_point, NAME, std::string(NAME))  \
      ->Name("cold point, " NAME)                         \
      ->Arg(60)                                           \
      ->Arg(100)                                          \
      ->Unit(benchmark::kMillisecond);                    \
  BENCHMARK_CAPTURE(warm_point, NAME, std::string(NAME))  \
      ->Name("warm point, " NAME)                         \
      ->Arg(60)                                           \
      ->Arg(100)                                          \
      ->Unit(benchmark::kMillisecond);                    \
  BENCHMARK_CAPTURE(curve_of_60, NAME, std::string(NAME)) \
      ->Name("60 angles, " NAME)                          \
      ->Args({60, 1})                                     \
      ->Args({60, 2})                                     \
      ->Args({100, 1})                                    \
      ->Args({100, 2})                                    \
      ->UseRealTime()                                     \
      ->Unit(benchmark::kMillisecond)

POLEPITCH_BENCH("salient-generator");
POLEPITCH_BENCH("cage-motor");

}  // namespace
}  // namespace polepitch
