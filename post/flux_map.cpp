#include "post/flux_map.h"

#include <algorithm>
#include <cmath>
#include <span>
#include <stdexcept>

#include "post/cubic_spline.h"

namespace polepitch {
namespace {

/// A quantity and its derivatives at one place.
struct Sample {
  double value = 0, by_d = 0, by_q = 0;
};

/// Layers of i_f around a place and the share of the upper one; straight on past the ends.
struct Layers {
  size_t low = 0, high = 0;
  double share = 0;
};

Layers layers_at(const std::vector<double>& i_f, double where) {
  if (i_f.size() < 2) return {};
  const auto above = static_cast<size_t>(std::upper_bound(i_f.begin(), i_f.end(), where) - i_f.begin());
  const size_t high = std::clamp<size_t>(above, 1, i_f.size() - 1);
  return {high - 1, high, (where - i_f[high - 1]) / (i_f[high] - i_f[high - 1])};
}

}  // namespace

FluxMapSurface::FluxMapSurface(const FluxMap& map) : map_(map) {
  for (const std::vector<double>* axis : {&map_.i_d, &map_.i_q, &map_.i_f}) {
    if (axis->empty()) throw std::logic_error("flux map: an axis without points");
    for (size_t i = 1; i < axis->size(); ++i)
      if (!((*axis)[i] > (*axis)[i - 1])) throw std::logic_error("flux map: currents must rise along an axis");
  }
  if (map_.lambda_f.empty()) map_.lambda_f.assign(map_.size(), 0.0);
  size_t k = 0;
  for (const std::vector<double>* values : {&map_.lambda_d, &map_.lambda_q, &map_.lambda_f, &map_.torque}) {
    if (values->size() != map_.size()) throw std::logic_error("flux map: one value a grid point");
    tables_[k++] = table(*values);
  }
}

FluxMapSurface::Table FluxMapSurface::table(const std::vector<double>& values) const {
  const size_t columns = map_.i_d.size(), rows = map_.i_q.size(), n = values.size();
  Table t{values, std::vector<double>(n), std::vector<double>(n), std::vector<double>(n)};
  for (size_t row = 0; row * columns < n; ++row) {
    const std::vector<double> slopes = spline_slopes(map_.i_d, std::span(values).subspan(row * columns, columns));
    std::copy(slopes.begin(), slopes.end(), t.by_d.begin() + static_cast<std::ptrdiff_t>(row * columns));
  }
  const auto along_q = [&](const std::vector<double>& from, std::vector<double>& to, size_t d, size_t f) {
    std::vector<double> column(rows);
    for (size_t q = 0; q < rows; ++q) column[q] = from[map_.at(d, q, f)];
    const std::vector<double> slopes = spline_slopes(map_.i_q, column);
    for (size_t q = 0; q < rows; ++q) to[map_.at(d, q, f)] = slopes[q];
  };
  for (size_t f = 0; f < map_.i_f.size(); ++f)
    for (size_t d = 0; d < columns; ++d) {
      along_q(t.value, t.by_q, d, f);
      along_q(t.by_d, t.by_both, d, f);
    }
  return t;
}

FluxMapPoint FluxMapSurface::at(double i_d, double i_q, double i_f) const {
  const SplineShares d = spline_shares(map_.i_d, i_d), q = spline_shares(map_.i_q, i_q);
  const Layers layers = layers_at(map_.i_f, i_f);
  std::array<Sample, 4> sum;
  for (const auto& [layer, share] : {std::pair{layers.low, 1 - layers.share}, std::pair{layers.high, layers.share}}) {
    if (share == 0) continue;
    for (size_t a = 0; a < 2; ++a)
      for (size_t b = 0; b < 2; ++b) {
        const size_t i = map_.at(d.at[a], q.at[b], layer);
        for (size_t k = 0; k < sum.size(); ++k) {
          const Table& t = tables_[k];
          const double value = q.value[b] * t.value[i] + q.slope[b] * t.by_q[i];
          const double slope = q.value[b] * t.by_d[i] + q.slope[b] * t.by_both[i];
          sum[k].value += share * (d.value[a] * value + d.slope[a] * slope);
          sum[k].by_d += share * (d.dvalue[a] * value + d.dslope[a] * slope);
          sum[k].by_q += share * (d.value[a] * (q.dvalue[b] * t.value[i] + q.dslope[b] * t.by_q[i]) +
                                  d.slope[a] * (q.dvalue[b] * t.by_d[i] + q.dslope[b] * t.by_both[i]));
        }
      }
  }
  return {.lambda_d = sum[0].value,
          .lambda_q = sum[1].value,
          .lambda_f = sum[2].value,
          .torque = sum[3].value,
          .l_dd = sum[0].by_d,
          .l_dq = sum[0].by_q,
          .l_qd = sum[1].by_d,
          .l_qq = sum[1].by_q};
}

bool FluxMapSurface::covers(double i_d, double i_q) const {
  return i_d >= map_.i_d.front() && i_d <= map_.i_d.back() && i_q >= map_.i_q.front() && i_q <= map_.i_q.back();
}

FluxMapCurrents FluxMapSurface::nearest(double lambda_d, double lambda_q, double i_f) const {
  FluxMapCurrents best;
  double least = HUGE_VAL;
  for (double d : map_.i_d)
    for (double q : map_.i_q) {
      const FluxMapPoint p = at(d, q, i_f);
      const double distance = std::hypot(p.lambda_d - lambda_d, p.lambda_q - lambda_q);
      if (distance < least) {
        least = distance;
        best = {d, q};
      }
    }
  return best;
}

std::optional<FluxMapCurrents> FluxMapSurface::currents(double lambda_d, double lambda_q, double i_f,
                                                        const FluxMapCurrents* start) const {
  double scale = 1e-300;
  for (const std::vector<double>* l : {&map_.lambda_d, &map_.lambda_q})
    for (double value : *l) scale = std::max(scale, std::abs(value));
  FluxMapCurrents i = start ? *start : nearest(lambda_d, lambda_q, i_f);
  FluxMapPoint p = at(i.i_d, i.i_q, i_f);
  double left = std::hypot(lambda_d - p.lambda_d, lambda_q - p.lambda_q);
  for (int step = 0; step < 50; ++step) {
    if (left <= 1e-13 * scale) return i;
    const double a = lambda_d - p.lambda_d, b = lambda_q - p.lambda_q, det = p.l_dd * p.l_qq - p.l_dq * p.l_qd;
    if (!(det > 0)) return {};
    double share = 1;
    for (int halvings = 0;; ++halvings, share *= 0.5) {
      const FluxMapCurrents next{i.i_d + share * (a * p.l_qq - b * p.l_dq) / det,
                                 i.i_q + share * (b * p.l_dd - a * p.l_qd) / det};
      const FluxMapPoint there = at(next.i_d, next.i_q, i_f);
      const double now = std::hypot(lambda_d - there.lambda_d, lambda_q - there.lambda_q);
      if (now < left) {
        i = next;
        p = there;
        left = now;
        break;
      }
      if (halvings > 30) return left <= 1e-11 * scale ? std::optional(i) : std::nullopt;
    }
  }
  return left <= 1e-11 * scale ? std::optional(i) : std::nullopt;
}

FluxMapPoint look_up(const FluxMap& map, double i_d, double i_q, double i_f) {
  return FluxMapSurface(map).at(i_d, i_q, i_f);
}

std::optional<FluxMapCurrents> currents_of_linkages(const FluxMap& map, double lambda_d, double lambda_q, double i_f) {
  return FluxMapSurface(map).currents(lambda_d, lambda_q, i_f);
}

}  // namespace polepitch
