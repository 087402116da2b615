#include "cases/field_map.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <optional>
#include <random>

#include "cases/load.h"
#include "cases/skew.h"
#include "cases/study_tools.h"
#include "cases/sweep.h"
#include "post/dq.h"

namespace polepitch {
namespace {

/// Grid indices row by row, every second row backwards: neighbours in the list are neighbours in the grid.
std::vector<size_t> winding_order(const FluxMap& map) {
  std::vector<size_t> order;
  const size_t columns = map.i_d.size();
  for (size_t row = 0; row * columns < map.size(); ++row)
    for (size_t k = 0; k < columns; ++k) order.push_back(row * columns + (row % 2 ? columns - 1 - k : k));
  return order;
}

}  // namespace

void check_map_machine(const Section& section, const Block& study, const std::string& what) {
  if (phase_count(section) == 0)
    throw InputError(what + " needs a stator winding", "give the machine a [winding]", study.place);
  if (has_bars(section))
    throw InputError(what + " in the rotor's dq frame does not fit a cage rotor, whose currents are not given",
                     "take a rotor with field winding, magnets or barriers", study.place);
}

bool has_magnets(const Section& section) {
  return std::any_of(section.regions.begin(), section.regions.end(),
                     [](const Region& r) { return r.role == Role::magnet; });
}

std::vector<MapValues> solve_map_points(StudyContext& context, const std::vector<MapCurrents>& points, int positions,
                                        double from, double to) {
  const Section& section = context.section;
  const double end_winding = end_winding_of(context), step = ripple_period(section) / positions;
  const int field = field_branch(section);
  const std::vector<double> offsets = skew_offsets(context.kase);
  const auto each = static_cast<size_t>(positions), count = each * offsets.size();
  std::vector<Excitation> middles;
  for (size_t i = 0; i < points.size(); ++i)
    for (size_t k = 0; k < each; ++k) {
      const double angle = step * static_cast<double>(i % 2 ? each - 1 - k : k);
      middles.push_back(dq_excitation(section, {points[i][0], points[i][1], 0}, points[i][2], angle));
    }
  const std::vector<Excitation> excitations = in_slices(middles, offsets);
  std::vector<MapValues> samples(excitations.size());
  sweep(
      context, excitations,
      [&](const SolvedPoint& at) {
        const MapCurrents& i = points[at.index / count];
        const std::vector<double> linkages = at.field.linkages(at.solution);
        const Dq linkage = phases_to_dq(section, linkages, middles[at.index / offsets.size()].rotor_angle);
        samples[at.index] = {linkage.d + end_winding * i[0], linkage.q + end_winding * i[1],
                             field < 0 ? 0 : linkages[static_cast<size_t>(field)], at.field.torque(at.solution)};
      },
      from, to);
  std::vector<MapValues> means(points.size());
  const double share = 1 / static_cast<double>(count);
  for (size_t i = 0; i < samples.size(); ++i) {
    MapValues& mean = means[i / count];
    mean.lambda_d += share * samples[i].lambda_d;
    mean.lambda_q += share * samples[i].lambda_q;
    mean.lambda_f += share * samples[i].lambda_f;
    mean.torque += share * samples[i].torque;
  }
  return means;
}

FluxMap solve_flux_map(StudyContext& context, const MapGrid& grid, int positions, const FluxMap* known, double from,
                       double to) {
  FluxMap map = zero_map(grid);
  map.phases = phase_count(context.section);
  map.pole_pairs = context.section.pole_pairs;
  const bool odd = !has_magnets(context.section);
  std::vector<bool> done(map.size(), false);
  std::vector<size_t> wanted;
  std::vector<MapCurrents> points;
  for (size_t index : winding_order(map)) {
    if (done[index]) continue;
    done[index] = true;
    const MapCurrents i = currents_at(map, index);
    if (const std::optional<size_t> k = known ? index_in(*known, i) : std::nullopt) {
      put(map, index, values_at(*known, *k));
      continue;
    }
    wanted.push_back(index);
    points.push_back(i);
    if (const std::optional<size_t> twin = odd ? index_in(map, {-i[0], -i[1], -i[2]}) : std::nullopt)
      done[*twin] = true;
  }
  const std::vector<MapValues> means = solve_map_points(context, points, positions, from, to);
  for (size_t k = 0; k < wanted.size(); ++k) {
    const MapValues& p = means[k];
    put(map, wanted[k], p);
    const MapCurrents i = points[k];
    if (const std::optional<size_t> twin = odd ? index_in(map, {-i[0], -i[1], -i[2]}) : std::nullopt;
        twin && *twin != wanted[k])
      put(map, *twin, {-p.lambda_d, -p.lambda_q, -p.lambda_f, p.torque});
  }
  return map;
}

std::vector<MapCurrents> points_off_grid(const MapGrid& grid, size_t count) {
  std::mt19937 random(411);  // the engine's numbers are fixed by the language, its distributions' are not
  const auto between = [&](const std::vector<double>& axis) {
    const double share = (static_cast<double>(random()) + 0.5) / 4294967296.0;
    return axis.front() + share * (axis.back() - axis.front());
  };
  std::vector<MapCurrents> points;
  while (points.size() < count) {
    const double d = between(grid.i_d), q = between(grid.i_q), f = between(grid.i_f);
    points.push_back({d, q, f});
  }
  return points;
}

}  // namespace polepitch
