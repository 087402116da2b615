// A slip curve of the demo cage motor: forty saturated fields from standstill to a slip of 0.002 in one chain.
// Counters: triangles a pole; Newton steps, factorisations and iterations of GMRES a point; milliseconds of one
// factorisation, of one solve and of one assembly of the tangent; the share of all factorisations in the time.
#include <benchmark/benchmark.h>
#include <time.h>

#include <cmath>

#include "cases/cage_supply.h"
#include "cases/case.h"
#include "geometry/mesh.h"
#include "solver/cage_factor.h"
#include "solver/cage_system.h"
#include "solver/sparse_cholesky.h"

namespace polepitch {
namespace {

constexpr int kPoints = 40;

double processor_time() {
  timespec now{};
  clock_gettime(CLOCK_THREAD_CPUTIME_ID, &now);
  return static_cast<double>(now.tv_sec) + 1e-9 * static_cast<double>(now.tv_nsec);
}

template <class Action>
double milliseconds(Action action) {
  constexpr int kRepeats = 5;
  const double start = processor_time();
  for (int k = 0; k < kRepeats; ++k) action();
  return 1e3 * (processor_time() - start) / kRepeats;
}

/// The parts of a step, at a solved point.
void parts(benchmark::State& bench, CageSystem& system, const CageSolution& at, double factorisations, double seconds) {
  std::vector<std::complex<double>> x(static_cast<size_t>(system.size));
  for (size_t n = 0; n < at.a.size(); ++n)
    if (const int u = system.system.dofs.unknown[n]; u >= 0) x[u] = system.system.dofs.sign[n] * at.a[n];
  system.set_linear(at.excitation);
  std::vector<std::complex<double>> force(x.size());
  bench.counters["assemble_ms"] = milliseconds([&] {
    system.matrix->blocks() = system.linear;
    system.add_elements(x, force);
  });
  CageFactor near(system);
  const double factor = milliseconds([&] { near.factorise(); });
  bench.counters["circuits_ms"] = milliseconds([&] { near.set_circuits(); });
  bench.counters["solve_ms"] = milliseconds([&] { benchmark::DoNotOptimize(near.solve(x)); });
  bench.counters["multiply_ms"] = milliseconds([&] { benchmark::DoNotOptimize(system.matrix->multiply(x)); });
  bench.counters["factorise_lu_ms"] = milliseconds([&] { system.matrix->factorise(); });
  bench.counters["solve_lu_ms"] = milliseconds([&] { benchmark::DoNotOptimize(system.matrix->solve(x)); });
  bench.counters["set_linear_ms"] = milliseconds([&] { system.set_linear(at.excitation); });
  bench.counters["factorise_ms"] = factor;
  bench.counters["factor_share"] = 1e-3 * factor * factorisations / seconds;
}

void slip_curve(benchmark::State& bench) {
  pin_blas_to_one_thread();
  const Case kase = read_case(SOURCE_DIR "/cases/machines/cage-motor.toml");
  const Section section = draw_section(kase.machine);
  const Mesh mesh = mesh_section(section, {static_cast<double>(bench.range(0)) / 100});
  const CageSupply supply = read_cage_supply(kase, section, {});
  SolverOptions options;
  options.tolerance = 1e-8;
  CageField field(section, mesh, kase.materials, supply.ends, options);
  double newton = 0, factors = 0, iterations = 0, seconds = 0;
  CageSolution last;
  for (auto _ : bench) {
    newton = factors = iterations = 0;
    last = {};
    const double start = processor_time();
    for (int k = 0; k < kPoints; ++k) {
      const CageExcitation e = excitation_of(supply, std::pow(0.002, k / (kPoints - 1.0)));
      last = field.solve(e, last.a.empty() ? nullptr : &last);
      newton += last.newton_steps, factors += last.factorisations, iterations += last.iterations;
    }
    seconds = processor_time() - start;
  }
  bench.counters["triangles_per_pole"] = mesh.triangles_per_pole(section.pole_pairs);
  bench.counters["unknowns"] = field.unknowns();
  bench.counters["points_per_s"] = kPoints / seconds;
  bench.counters["newton"] = newton / kPoints;
  bench.counters["factors"] = factors / kPoints;
  bench.counters["gmres"] = iterations / kPoints;
  CageSystem system(section, mesh, kase.materials, supply.ends, options, {});
  parts(bench, system, last, factors, seconds);
}

BENCHMARK(slip_curve)->Arg(60)->Arg(50)->Unit(benchmark::kMillisecond)->Iterations(1);

}  // namespace
}  // namespace polepitch
