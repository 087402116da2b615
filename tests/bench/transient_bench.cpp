// What a supply period of the demo cage motor costs, stepped in time at rated slip from its time-harmonic field with
// 200 steps. Counters: triangles a pole, Newton steps, conjugate-gradient steps and factorisations a step, and what the
// energies lack.
#include <benchmark/benchmark.h>

#include <cmath>
#include <string>

#include "cases/cage_supply.h"
#include "cases/case.h"
#include "geometry/mesh.h"
#include "solver/cage_field.h"
#include "solver/circuits.h"
#include "solver/sparse_cholesky.h"
#include "solver/transient_field.h"

namespace polepitch {
namespace {

void period(benchmark::State& bench) {
  pin_blas_to_one_thread();
  const Case kase = read_case(SOURCE_DIR "/cases/machines/cage-motor.toml");
  const Section section = draw_section(kase.machine);
  const Mesh mesh = mesh_section(section, {static_cast<double>(bench.range(0)) / 100});
  const CageSupply supply = read_cage_supply(kase, section, {});
  const double slip = rated_slip(kase, section);
  TransientOptions options;
  options.field.tolerance = std::pow(10.0, -static_cast<double>(bench.range(1)));
  CageField harmonic(section, mesh, kase.materials, supply.ends);
  const CageSolution at = harmonic.solve(excitation_of(supply, slip));
  StatorCircuit stator;
  stator.resistance = supply.resistance;
  stator.inductance = supply.end_inductance;
  stator.source = balanced_source(section, supply.voltage, supply.omega, 0);
  const Circuits circuits = machine_circuits(section, stator, {});
  TransientField field(section, mesh, kase.materials, full_ring(section, supply.ends), options);
  field.connect(circuits);
  std::vector<double> a;
  for (const std::complex<double>& value : at.a) a.push_back(value.real());
  double newton = 0, factors = 0, iterations = 0, imbalance = 0, moved = 0;
  constexpr int kSteps = 200;
  for (auto _ : bench) {
    TransientState state = field.start(a, loop_currents(circuits, currents_at_start(section, at).currents), 0,
                                       (1 - slip) * supply.omega / section.pole_pairs);
    newton = factors = iterations = imbalance = moved = 0;
    for (int k = 0; k < kSteps; ++k) {
      TransientStep step = field.step(state, {}, 2 * pi / supply.omega / kSteps);
      newton += step.newton_steps, factors += step.factorisations, iterations += step.iterations;
      imbalance = std::max(imbalance, std::abs(step.scheme.imbalance()));
      moved = std::max(moved, std::abs(step.scheme.source));
      state = std::move(step.state);
    }
  }
  bench.counters["triangles_per_pole"] = mesh.triangles_per_pole(section.pole_pairs);
  bench.counters["newton"] = newton / kSteps;
  bench.counters["cg"] = iterations / kSteps;
  bench.counters["factors"] = factors / kSteps;
  bench.counters["scheme_imbalance"] = imbalance / moved;
}

BENCHMARK(period)->Args({50, 8})->Args({90, 8})->Args({90, 6})->Unit(benchmark::kMillisecond)->Iterations(1);

}  // namespace
}  // namespace polepitch
