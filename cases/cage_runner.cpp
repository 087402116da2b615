#include "cases/cage_runner.h"

#include <algorithm>
#include <string>

#include "cases/skew.h"
#include "cases/sweep.h"

namespace polepitch {
namespace {

/// What tells one point from another between meshes.
std::vector<double> numbers_of(const CageExcitation& e) {
  return {e.omega,      e.slip,           e.voltage_fed ? 1.0 : 0.0, e.supply.real(),        e.supply.imag(),
          e.resistance, e.end_inductance, e.rotor_resistance,        e.rotor_end_inductance, e.rotor_open ? 1.0 : 0.0,
          e.rotor_angle};
}

/// The machine's own slices.
CageOptions with_skew(const Case& kase, CageOptions options) {
  const std::vector<double> offsets = skew_offsets(kase);
  options.slices.clear();
  for (double offset : offsets) options.slices.push_back({offset, 1.0 / static_cast<double>(offsets.size())});
  return options;
}

}  // namespace

CageRunner::CageRunner(StudyContext& context, const CageEnds& ends, const CageOptions& options)
    : context_(context),
      ends_(ends),
      options_(options),
      fields_(static_cast<size_t>(std::max(1, context.fields.workers()))) {}

CageField& CageRunner::of(int worker) {
  std::unique_ptr<CageField>& field = fields_[static_cast<size_t>(worker)];
  if (field == nullptr) {
    SolverOptions options;
    options.tolerance = 1e-8;  // of the sources: small angles at small slip are differences
    options.temperature = context_.kase.machine.general.values.number("temperature");
    field = std::make_unique<CageField>(context_.section, context_.mesh, context_.kase.materials, ends_, options,
                                        with_skew(context_.kase, options_));
  }
  return *field;
}

std::vector<CageSolution> CageRunner::solve(const std::vector<CageExcitation>& points, double from, double to) {
  const std::string name = context_.name + "/cage-" + std::to_string(context_.sweeps++);
  std::vector<CageSolution> solved(points.size());
  const auto one = [&](int worker, size_t i, bool first) {
    CageSolution start;
    const std::vector<double> numbers = numbers_of(points[i]);
    if (context_.forerun)
      if (auto carried = context_.forerun->start(name, i, numbers)) start.a = std::move(*carried);
    const CageSolution* near = !start.a.empty() ? &start : first ? nullptr : &solved[i - 1];
    solved[i] = of(worker).solve(points[i], near);
    if (context_.keeps) {  // the first slice of a skewed rotor is a start for all of them
      std::vector<std::complex<double>> slice = solved[i].a;
      slice.resize(context_.mesh.nodes.size());
      context_.keeps->keep(name, i, numbers, slice);
    }
  };
  run_in_chains(context_, points.size(), static_cast<int>(fields_.size()), one, from, to);
  return solved;
}

CageSolution CageRunner::solve(const CageExcitation& point, const CageSolution& near) {
  return of(0).solve(point, &near);
}

}  // namespace polepitch
