// The flux map turned round: currents over linkages.
#include <algorithm>
#include <array>
#include <cmath>

#include "post/circuit_model.h"
#include "post/map_grid.h"

namespace polepitch {
namespace {

struct Box {
  double d_low, d_high, q_low, q_high;

  Box shrunk(double share) const {
    const double d = 0.5 * share * (d_high - d_low), q = 0.5 * share * (q_high - q_low);
    return {d_low + d, d_high - d, q_low + q, q_high - q};
  }
};

Box box_of(const FluxMap& map, size_t f) {
  const size_t begin = map.at(0, 0, f), end = begin + map.i_d.size() * map.i_q.size();
  const auto range = [&](const std::vector<double>& v) {
    const auto [low, high] =
        std::minmax_element(v.begin() + static_cast<long>(begin), v.begin() + static_cast<long>(end));
    return std::pair{*low, *high};
  };
  const auto d = range(map.lambda_d), q = range(map.lambda_q);
  return {d.first, d.second, q.first, q.second};
}

/// Row by row, each point from its neighbour; empty where one is not found.
std::optional<InverseMap> over(const FluxMapSurface& surface, double i_f, const Box& box, size_t points) {
  InverseMap out;
  out.i_f = i_f;
  out.lambda_d = equal_lines(box.d_low, box.d_high, static_cast<int>(points));
  out.lambda_q = equal_lines(box.q_low, box.q_high, static_cast<int>(points));
  for (size_t q = 0; q < points; ++q)
    for (size_t d = 0; d < points; ++d) {
      const size_t here = q * points + d;
      std::optional<FluxMapCurrents> start;
      if (d > 0) start = {out.i_d[here - 1], out.i_q[here - 1]};
      if (d == 0 && q > 0) start = {out.i_d[here - points], out.i_q[here - points]};
      auto found = surface.currents(out.lambda_d[d], out.lambda_q[q], i_f, start ? &*start : nullptr);
      if (!found && start) found = surface.currents(out.lambda_d[d], out.lambda_q[q], i_f);
      if (!found) return std::nullopt;
      out.i_d.push_back(found->i_d);
      out.i_q.push_back(found->i_q);
      if (!surface.covers(found->i_d, found->i_q)) ++out.outside;
    }
  return out;
}

/// In the middle of every cell whose corners the map covers: straight mean of the corners' currents, looked up again.
double error_between(const FluxMapSurface& surface, const InverseMap& map) {
  const size_t n = map.lambda_d.size();
  double scale = 0, worst = 0;
  for (const std::vector<double>* values : {&surface.map().lambda_d, &surface.map().lambda_q})
    for (double v : *values) scale = std::max(scale, std::abs(v));
  for (size_t q = 0; q + 1 < n; ++q)
    for (size_t d = 0; d + 1 < n; ++d) {
      double i_d = 0, i_q = 0;
      bool covered = true;
      for (size_t corner : {q * n + d, q * n + d + 1, (q + 1) * n + d, (q + 1) * n + d + 1}) {
        i_d += 0.25 * map.i_d[corner];
        i_q += 0.25 * map.i_q[corner];
        covered = covered && surface.covers(map.i_d[corner], map.i_q[corner]);
      }
      if (!covered) continue;
      const FluxMapPoint p = surface.at(i_d, i_q, map.i_f);
      worst = std::max({worst, std::abs(p.lambda_d - 0.5 * (map.lambda_d[d] + map.lambda_d[d + 1])),
                        std::abs(p.lambda_q - 0.5 * (map.lambda_q[q] + map.lambda_q[q + 1]))});
    }
  return scale > 0 ? worst / scale : 0;
}

}  // namespace

std::vector<InverseMap> inverse_maps(const FluxMap& map, size_t points) {
  const FluxMapSurface surface(map);
  std::vector<InverseMap> all;
  for (size_t f = 0; f < map.i_f.size(); ++f) {
    Box box = box_of(map, f);
    if (!(box.d_high > box.d_low) || !(box.q_high > box.q_low)) continue;
    for (int attempt = 0; attempt < 20; ++attempt, box = box.shrunk(0.05)) {
      std::optional<InverseMap> found = over(surface, map.i_f[f], box, points);
      if (!found) continue;
      found->error = error_between(surface, *found);
      all.push_back(*found);
      break;
    }
  }
  return all;
}

}  // namespace polepitch
