#include "cases/cage_runner.h"

#include <algorithm>
#include <cmath>
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

/// Along a chain in which one number changes, where the next point lies: slips are as dense near 0 as they grow.
double place_of(const CageExcitation& e) {
  return std::asinh(e.slip / 0.005) + e.supply.real();
}

bool same_but_slip_or_supply(const CageExcitation& a, const CageExcitation& b) {
  std::vector<double> one = numbers_of(a), other = numbers_of(b);
  const bool slip = one[1] == other[1], supply = one[3] == other[3];
  one[1] = other[1], one[3] = other[3];
  return one == other && (slip || supply);
}

/// The field at points[i] from those before it in its chain: by the parabola through the last three, or the line
/// through two; the nearest one's where the step is much longer than those before.
CageSolution extrapolated(const std::vector<CageExcitation>& points, const std::vector<CageSolution>& solved,
                          size_t first, size_t i) {
  const auto distance = [&](size_t k, size_t other) { return std::abs(place_of(points[k]) - place_of(points[other])); };
  std::vector<size_t> from = {i - 1};
  while (from.size() < 3 && from.back() > first && same_but_slip_or_supply(points[from.back() - 1], points[i]) &&
         same_but_slip_or_supply(points[from.back() - 1], points[i - 1]) &&
         distance(i, i - 1) < 2 * distance(from.back(), from.back() - 1))
    from.push_back(from.back() - 1);
  if (from.size() == 1)
    for (size_t k = first; k < i; ++k)
      if (same_but_slip_or_supply(points[k], points[i]) && distance(i, k) < distance(i, from[0])) from[0] = k;
  CageSolution start;
  start.a.resize(solved[i - 1].a.size());
  const double before = std::abs(points[from[0]].supply), now = std::abs(points[i].supply);
  const bool alone = from.size() == 1 && before > 0 && points[from[0]].voltage_fed == points[i].voltage_fed;
  for (size_t k : from) {
    double share = alone ? now / before : 1;  // as if nothing saturated
    for (size_t other : from)
      if (other != k)
        share *= (place_of(points[i]) - place_of(points[other])) / (place_of(points[k]) - place_of(points[other]));
    for (size_t n = 0; n < start.a.size(); ++n) start.a[n] += share * solved[k].a[n];
    start.current += share * solved[k].current, start.rotor_current += share * solved[k].rotor_current;
  }
  return start;
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
    if (first) of(worker).forget();
    if (context_.forerun && first)
      if (auto carried = context_.forerun->start(name, i, numbers)) start.a = std::move(*carried);
    if (!first) start = extrapolated(points, solved, begin_of_chain(i, points.size()), i);
    const CageSolution* near = start.a.empty() ? nullptr : &start;
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
  of(0).forget();
  return of(0).solve(point, &near);
}

}  // namespace polepitch
