#include "cases/field_map.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <optional>
#include <random>

#include "cases/load.h"
#include "cases/study_tools.h"
#include "cases/sweep.h"
#include "post/dq.h"

namespace polepitch {
namespace {

using Currents = std::array<double, 3>;  // i_d, i_q, i_f

struct PointMeans {
  double lambda_d = 0, lambda_q = 0, lambda_f = 0, torque = 0;
};

/// Means at each of the points; neighbours in the list start from each other, at the rotor position they share.
std::vector<PointMeans> solve_points(StudyContext& context, const std::vector<Currents>& points, int positions,
                                     double from, double to) {
  const Section& section = context.section;
  const double end_winding = end_winding_of(context), step = ripple_period(section) / positions;
  const int field = field_branch(section);
  const auto count = static_cast<size_t>(positions);
  std::vector<Excitation> excitations;
  for (size_t i = 0; i < points.size(); ++i)
    for (size_t k = 0; k < count; ++k) {
      const double angle = step * static_cast<double>(i % 2 ? count - 1 - k : k);
      excitations.push_back(dq_excitation(section, {points[i][0], points[i][1], 0}, points[i][2], angle));
    }
  std::vector<PointMeans> samples(excitations.size());
  sweep(
      context, excitations,
      [&](const SolvedPoint& at) {
        const Currents& i = points[at.index / count];
        const std::vector<double> linkages = at.field.linkages(at.solution);
        const Dq linkage = phases_to_dq(section, linkages, at.excitation.rotor_angle);
        samples[at.index] = {linkage.d + end_winding * i[0], linkage.q + end_winding * i[1],
                             field < 0 ? 0 : linkages[static_cast<size_t>(field)], at.field.torque(at.solution)};
      },
      from, to);
  std::vector<PointMeans> means(points.size());
  const double share = 1 / static_cast<double>(count);
  for (size_t i = 0; i < samples.size(); ++i) {
    PointMeans& mean = means[i / count];
    mean.lambda_d += share * samples[i].lambda_d;
    mean.lambda_q += share * samples[i].lambda_q;
    mean.lambda_f += share * samples[i].lambda_f;
    mean.torque += share * samples[i].torque;
  }
  return means;
}

std::optional<size_t> index_of(const std::vector<double>& axis, double value) {
  const double span = std::max(axis.back() - axis.front(), std::abs(axis.front()));
  for (size_t i = 0; i < axis.size(); ++i)
    if (std::abs(axis[i] - value) <= 1e-12 * span) return i;
  return {};
}

std::optional<size_t> index_in(const FluxMap& map, const Currents& i) {
  const std::optional<size_t> d = index_of(map.i_d, i[0]), q = index_of(map.i_q, i[1]), f = index_of(map.i_f, i[2]);
  if (!d || !q || !f) return {};
  return map.at(*d, *q, *f);
}

Currents currents_at(const FluxMap& map, size_t index) {
  const size_t d = map.i_d.size(), q = map.i_q.size();
  return {map.i_d[index % d], map.i_q[index / d % q], map.i_f[index / (d * q)]};
}

FluxMap empty_map(const Section& section, const MapGrid& grid) {
  FluxMap map;
  map.phases = phase_count(section);
  map.pole_pairs = section.pole_pairs;
  map.i_d = grid.i_d;
  map.i_q = grid.i_q;
  map.i_f = grid.i_f;
  for (std::vector<double>* values : {&map.lambda_d, &map.lambda_q, &map.lambda_f, &map.torque})
    values->assign(map.size(), 0.0);
  return map;
}

void put(FluxMap& map, size_t index, const PointMeans& p) {
  map.lambda_d[index] = p.lambda_d;
  map.lambda_q[index] = p.lambda_q;
  map.lambda_f[index] = p.lambda_f;
  map.torque[index] = p.torque;
}

/// Grid indices row by row, every second row backwards: neighbours in the list are neighbours in the grid.
std::vector<size_t> winding_order(const FluxMap& map) {
  std::vector<size_t> order;
  const size_t columns = map.i_d.size();
  for (size_t row = 0; row * columns < map.size(); ++row)
    for (size_t k = 0; k < columns; ++k) order.push_back(row * columns + (row % 2 ? columns - 1 - k : k));
  return order;
}

double largest(const std::vector<double>& values) {
  double most = 0;
  for (double v : values) most = std::max(most, std::abs(v));
  return most;
}

/// What differences of a map's quantities are measured by.
struct Scales {
  explicit Scales(const FluxMap& map)
      : linkage(std::max(largest(map.lambda_d), largest(map.lambda_q))),
        field_linkage(largest(map.lambda_f)),
        torque(largest(map.torque)) {}
  double linkage, field_linkage, torque;

  void add(MapError& error, const PointMeans& truth, const FluxMapPoint& p) const {
    const auto over = [](double difference, double scale) { return scale > 0 ? std::abs(difference) / scale : 0; };
    error.linkage =
        std::max({error.linkage, over(truth.lambda_d - p.lambda_d, linkage), over(truth.lambda_q - p.lambda_q, linkage),
                  over(truth.lambda_f - p.lambda_f, field_linkage)});
    error.torque = std::max(error.torque, over(truth.torque - p.torque, torque));
  }
};

MapError error_off_grid(const FluxMap& map, const std::vector<Currents>& points, const std::vector<PointMeans>& truth) {
  const FluxMapSurface surface(map);
  const Scales scales(map);
  MapError error;
  for (size_t i = 0; i < points.size(); ++i)
    scales.add(error, truth[i], surface.at(points[i][0], points[i][1], points[i][2]));
  return error;
}

std::vector<double>& axis_of(MapGrid& grid, size_t axis) {
  return axis == 0 ? grid.i_d : axis == 1 ? grid.i_q : grid.i_f;
}

MapGrid grid_of(const FluxMap& map) {
  return {map.i_d, map.i_q, map.i_f};
}

/// How far the map of every second line along an axis misses the lines between; 0 with fewer than three lines.
double halved_error(const FluxMap& map, size_t axis) {
  MapGrid grid = grid_of(map);
  std::vector<double>& lines = axis_of(grid, axis);
  if (lines.size() < 3) return lines.size() == 2 ? 1 : 0;
  std::vector<double> kept;
  for (size_t i = 0; i < lines.size(); i += 2) kept.push_back(lines[i]);
  if (lines.size() % 2 == 0) kept.push_back(lines.back());
  lines = kept;
  FluxMap thin;
  thin.i_d = grid.i_d;
  thin.i_q = grid.i_q;
  thin.i_f = grid.i_f;
  for (std::vector<double>* v : {&thin.lambda_d, &thin.lambda_q, &thin.lambda_f, &thin.torque}) v->resize(thin.size());
  for (size_t i = 0; i < thin.size(); ++i) {
    const size_t k = *index_in(map, currents_at(thin, i));
    put(thin, i, {map.lambda_d[k], map.lambda_q[k], map.lambda_f[k], map.torque[k]});
  }
  const FluxMapSurface surface(thin);
  const Scales scales(map);
  MapError error;
  for (size_t k = 0; k < map.size(); ++k) {
    const Currents i = currents_at(map, k);
    scales.add(error, {map.lambda_d[k], map.lambda_q[k], map.lambda_f[k], map.torque[k]}, surface.at(i[0], i[1], i[2]));
  }
  return error.worst();
}

MapGrid halve_worst_axis(const FluxMap& map) {
  size_t worst = 0;
  double most = -1;
  for (size_t axis = 0; axis < 3; ++axis)
    if (const double error = halved_error(map, axis); error > most) {
      most = error;
      worst = axis;
    }
  MapGrid grid = grid_of(map);
  std::vector<double>& lines = axis_of(grid, worst);
  std::vector<double> finer{lines.front()};
  for (size_t i = 1; i < lines.size(); ++i) {
    finer.push_back(0.5 * (lines[i - 1] + lines[i]));
    finer.push_back(lines[i]);
  }
  lines = finer;
  return grid;
}

std::vector<double> as_numbers(const MapGrid& grid) {
  std::vector<double> all{static_cast<double>(grid.i_d.size()), static_cast<double>(grid.i_q.size())};
  for (const std::vector<double>* axis : {&grid.i_d, &grid.i_q, &grid.i_f})
    all.insert(all.end(), axis->begin(), axis->end());
  return all;
}

MapGrid from_numbers(const std::vector<double>& all) {
  const auto d = all.begin() + 2, q = d + static_cast<std::ptrdiff_t>(all[0]);
  const auto f = q + static_cast<std::ptrdiff_t>(all[1]);
  return {{d, q}, {q, f}, {f, all.end()}};
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

std::vector<double> equal_lines(double first, double last, int count) {
  std::vector<double> lines;
  for (int k = 0; k < count; ++k) lines.push_back(first + (last - first) * k / (count - 1));
  for (double& line : lines)
    if (std::abs(line) < 1e-12 * (last - first)) line = 0;
  return lines;
}

FluxMap solve_flux_map(StudyContext& context, const MapGrid& grid, int positions, const FluxMap* known, double from,
                       double to) {
  FluxMap map = empty_map(context.section, grid);
  const bool odd = !has_magnets(context.section);
  std::vector<bool> done(map.size(), false);
  std::vector<size_t> wanted;
  std::vector<Currents> points;
  for (size_t index : winding_order(map)) {
    if (done[index]) continue;
    done[index] = true;
    const Currents i = currents_at(map, index);
    if (const std::optional<size_t> k = known ? index_in(*known, i) : std::nullopt) {
      put(map, index, {known->lambda_d[*k], known->lambda_q[*k], known->lambda_f[*k], known->torque[*k]});
      continue;
    }
    wanted.push_back(index);
    points.push_back(i);
    if (const std::optional<size_t> twin = odd ? index_in(map, {-i[0], -i[1], -i[2]}) : std::nullopt)
      done[*twin] = true;
  }
  const std::vector<PointMeans> means = solve_points(context, points, positions, from, to);
  for (size_t k = 0; k < wanted.size(); ++k) {
    const PointMeans& p = means[k];
    put(map, wanted[k], p);
    const Currents i = points[k];
    if (const std::optional<size_t> twin = odd ? index_in(map, {-i[0], -i[1], -i[2]}) : std::nullopt;
        twin && *twin != wanted[k])
      put(map, *twin, {-p.lambda_d, -p.lambda_q, -p.lambda_f, p.torque});
  }
  return map;
}

std::vector<std::array<double, 3>> points_off_grid(const MapGrid& grid, size_t count) {
  std::mt19937 random(411);  // the engine's numbers are fixed by the language, its distributions' are not
  const auto between = [&](const std::vector<double>& axis) {
    const double share = (static_cast<double>(random()) + 0.5) / 4294967296.0;
    return axis.front() + share * (axis.back() - axis.front());
  };
  std::vector<Currents> points;
  while (points.size() < count) {
    const double d = between(grid.i_d), q = between(grid.i_q), f = between(grid.i_f);
    points.push_back({d, q, f});
  }
  return points;
}

FieldMap refined_flux_map(StudyContext& context, const MapRequest& request, double to) {
  const std::string decision = context.name + "/grid";
  MapGrid grid = request.grid;
  const std::vector<double>* decided = context.forerun ? context.forerun->decision(decision) : nullptr;
  if (decided) grid = from_numbers(*decided);
  const std::vector<Currents> off = points_off_grid(grid, 10);
  const std::vector<PointMeans> truth = solve_points(context, off, request.positions, 0, 0.1 * to);
  FieldMap result{solve_flux_map(context, grid, request.positions, nullptr, 0.1 * to, decided ? to : 0.3 * to), {}, 10};
  result.error = error_off_grid(result.map, off, truth);
  double share = 0.3;
  // On the coarser mesh a little more than asked for: the finer one's map takes this grid as it is.
  while (!decided && result.error.worst() > 0.8 * request.accuracy) {
    grid = halve_worst_axis(result.map);
    if (grid.i_d.size() * grid.i_q.size() * grid.i_f.size() > request.most_points) break;
    const double next = share + 0.5 * (1 - share);
    result.map = solve_flux_map(context, grid, request.positions, &result.map, share * to, next * to);
    result.error = error_off_grid(result.map, off, truth);
    share = next;
  }
  if (context.keeps) context.keeps->keep_decision(decision, as_numbers(grid_of(result.map)));
  return result;
}

}  // namespace polepitch
