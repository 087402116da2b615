// Flux maps on two levels: many points of a rough field, and few of the study's own, which differs from it smoothly.
#include <algorithm>
#include <cmath>

#include "cases/adaption.h"
#include "cases/field_map.h"

namespace polepitch {
namespace {

constexpr double kRough = 0.25;  // density of the rough mesh
constexpr int kRoughPositions = 3;
constexpr double kRoughTolerance = 1e-4;  // of the fields: torque to 1e-6
constexpr double kBoldest = 4;            // excess that one round takes on: more rounds, fewer lines
constexpr double kRoughShare = 0.4;       // of the accuracy, left by the rough map between its points

std::vector<double> as_numbers(const FluxMap& map) {
  std::vector<double> all{static_cast<double>(map.i_d.size()), static_cast<double>(map.i_q.size()),
                          static_cast<double>(map.i_f.size())};
  for (const std::vector<double>* part :
       {&map.i_d, &map.i_q, &map.i_f, &map.lambda_d, &map.lambda_q, &map.lambda_f, &map.torque})
    all.insert(all.end(), part->begin(), part->end());
  return all;
}

FluxMap from_numbers(const std::vector<double>& all) {
  auto at = all.begin() + 3;
  const auto next = [&](double count) {
    const auto begin = at;
    at += static_cast<std::ptrdiff_t>(count);
    return std::vector<double>(begin, at);
  };
  FluxMap map;
  map.i_d = next(all[0]);
  map.i_q = next(all[1]);
  map.i_f = next(all[2]);
  const auto size = static_cast<double>(map.size());
  for (std::vector<double>* part : {&map.lambda_d, &map.lambda_q, &map.lambda_f, &map.torque}) *part = next(size);
  return map;
}

/// Every second line, where they are many, and the last.
std::vector<double> thinned(const std::vector<double>& lines) {
  if (lines.size() < 5) return lines;
  std::vector<double> kept;
  for (size_t i = 0; i < lines.size(); ++i)
    if (i % 2 == 0 || i + 1 == lines.size()) kept.push_back(lines[i]);
  return kept;
}

std::vector<double> united(const std::vector<double>& one, const std::vector<double>& other) {
  std::vector<double> all = one, distinct;
  all.insert(all.end(), other.begin(), other.end());
  std::sort(all.begin(), all.end());
  const double same = 1e-9 * (all.back() - all.front());
  for (double line : all)
    if (distinct.empty() || line - distinct.back() > same) distinct.push_back(line);
  return distinct;
}

MapGrid united(const MapGrid& one, const MapGrid& other) {
  return {united(one.i_d, other.i_d), united(one.i_q, other.i_q), united(one.i_f, other.i_f)};
}

MapValues sum(const FluxMapPoint& p, const MapValues& q, double sign) {
  return {q.lambda_d + sign * p.lambda_d, q.lambda_q + sign * p.lambda_q, q.lambda_f + sign * p.lambda_f,
          q.torque + sign * p.torque};
}

/// What the field has more than the rough one, at the field's points.
FluxMap correction(const FluxMap& fine, const FluxMapSurface& rough) {
  FluxMap more = fine;
  for (size_t k = 0; k < fine.size(); ++k) {
    const MapCurrents i = currents_at(fine, k);
    put(more, k, sum(rough.at(i[0], i[1], i[2]), values_at(fine, k), -1));
  }
  return more;
}

FluxMap joined(const FluxMap& fine, const FluxMapSurface& rough) {
  const FluxMapSurface more(correction(fine, rough));
  FluxMap map = zero_map(united(grid_of(rough.map()), grid_of(fine)));
  map.phases = fine.phases;
  map.pole_pairs = fine.pole_pairs;
  for (size_t k = 0; k < map.size(); ++k) {
    const MapCurrents i = currents_at(map, k);
    const FluxMapPoint p = more.at(i[0], i[1], i[2]);
    put(map, k, sum(rough.at(i[0], i[1], i[2]), {p.lambda_d, p.lambda_q, p.lambda_f, p.torque}, 1));
  }
  return map;
}

struct Refined {
  FluxMap map;
  MapError error;
};

/// Lines are added until points off the grid agree; no more than so many points.
Refined refined(StudyContext& context, const MapRequest& request, const std::vector<MapCurrents>& off, double accuracy,
                double to) {
  const std::vector<MapValues> truth = solve_map_points(context, off, request.positions, 0, 0.1 * to);
  Refined result{solve_flux_map(context, request.grid, request.positions, nullptr, 0.1 * to, 0.3 * to), {}};
  result.error = map_error(result.map, off, truth);
  double share = 0.3;
  while (result.error.worst() > accuracy) {
    MapGrid grid = finer_grid(result.map, std::min(kBoldest, result.error.worst() / accuracy));
    if (grid.size() > request.most_points) grid = finer_grid(result.map, 1);
    if (grid.size() > request.most_points) break;
    const double next = share + 0.5 * (1 - share);
    result.map = solve_flux_map(context, grid, request.positions, &result.map, share * to, next * to);
    result.error = map_error(result.map, off, truth);
    share = next;
  }
  return result;
}

/// The map of a field on a mesh that takes little time.
Refined rough_map(StudyContext& context, const MapRequest& request, const std::vector<MapCurrents>& off, double to) {
  const Mesh mesh = mesh_section(context.section, {kRough});
  SolverOptions options = solver_options(context.kase);
  options.third_order = false;
  options.tolerance = kRoughTolerance;
  FieldPool fields(context.section, mesh, context.kase.materials, options, context.fields.workers());
  StudyContext rough{context.kase, context.section, mesh, fields, context.name, context.progress};
  MapRequest cheap = request;
  cheap.positions = std::min(kRoughPositions, request.positions);
  return refined(rough, cheap, off, kRoughShare * request.accuracy, to);
}

/// A map of two currents takes so few points that a rough one beside it would cost more than it saves.
FieldMap on_one_level(StudyContext& context, MapRequest request, double to) {
  const std::string lines = context.name + "/grid";
  const std::vector<double>* decided = context.forerun ? context.forerun->decision(lines) : nullptr;
  const std::vector<MapCurrents> off = points_off_grid(request.grid, 10);
  if (decided) request.grid = grid_of(from_numbers(*decided));
  // On the coarser mesh a little more than asked for: the finer one's map takes this grid as it is.
  const Refined found = refined(context, request, off, decided ? HUGE_VAL : 0.8 * request.accuracy, to);
  if (context.keeps) context.keeps->keep_decision(lines, as_numbers(found.map));
  return {found.map, found.error, off.size(), found.map.size()};
}

FieldMap on_two_levels(StudyContext& context, const MapRequest& request, double to) {
  const std::string lines = context.name + "/grid", below = context.name + "/rough";
  const std::vector<double>* decided = context.forerun ? context.forerun->decision(lines) : nullptr;
  const std::vector<MapCurrents> off = points_off_grid(request.grid, 10);
  // On the coarser mesh a little more than asked for: the finer one's map takes these lines as they are. What the rough
  // map leaves between its points no correction mends.
  double wanted = 0.7 * request.accuracy, share = 0;
  FluxMap rough_points;
  MapGrid grid{thinned(request.grid.i_d), thinned(request.grid.i_q), request.grid.i_f};
  if (decided) {
    rough_points = from_numbers(*context.forerun->decision(below));
    grid = grid_of(from_numbers(*decided));
  } else {
    share = 0.3;
    const Refined found = rough_map(context, request, off, share * to);
    wanted = std::max(wanted, 2 * found.error.worst());
    rough_points = found.map;
  }
  const FluxMapSurface rough(rough_points);
  const std::vector<MapValues> truth =
      solve_map_points(context, off, request.positions, share * to, (share + 0.1) * to);
  share += 0.1;
  double next = decided ? 1 : share + 0.5 * (1 - share);
  FluxMap fine = solve_flux_map(context, grid, request.positions, nullptr, share * to, next * to);
  FieldMap result{joined(fine, rough), {}, off.size(), fine.size()};
  result.error = map_error(result.map, off, truth);
  while (!decided && result.error.worst() > wanted) {
    grid = finer_grid(correction(fine, rough), std::min(kBoldest, result.error.worst() / wanted));
    if (united(grid_of(rough_points), grid).size() > request.most_points) break;
    share = next;
    next = share + 0.5 * (1 - share);
    fine = solve_flux_map(context, grid, request.positions, &fine, share * to, next * to);
    result.map = joined(fine, rough);
    result.solved = fine.size();
    result.error = map_error(result.map, off, truth);
  }
  if (context.keeps) {
    context.keeps->keep_decision(lines, as_numbers(fine));
    context.keeps->keep_decision(below, as_numbers(rough_points));
  }
  return result;
}

}  // namespace

FieldMap refined_flux_map(StudyContext& context, const MapRequest& request, double to) {
  return request.grid.i_f.size() > 1 ? on_two_levels(context, request, to) : on_one_level(context, request, to);
}

}  // namespace polepitch
