#include "post/flux_map.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <stdexcept>

#include "post/cubic_spline.h"

namespace polepitch {
namespace {

/// A spline's shares at one place, by end of the interval and by value (0) or slope (1).
struct Shares {
  std::array<size_t, 2> at{};
  double of[2][2]{}, derivative[2][2]{};
};

Shares shares_at(const std::vector<double>& x, double where) {
  const SplineShares s = spline_shares(x, where);
  return {s.at,
          {{s.value[0], s.slope[0]}, {s.value[1], s.slope[1]}},
          {{s.dvalue[0], s.dslope[0]}, {s.dvalue[1], s.dslope[1]}}};
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
  for (const std::vector<double>* l : {&map_.lambda_d, &map_.lambda_q})
    for (double value : *l) scale_ = std::max(scale_, std::abs(value));
}

/// Slopes along one axis at every grid point.
std::vector<double> FluxMapSurface::slopes(const std::vector<double>& values, size_t axis) const {
  const std::vector<double>& x = axis == 0 ? map_.i_d : axis == 1 ? map_.i_q : map_.i_f;
  const size_t stride = axis == 0 ? 1 : axis == 1 ? map_.i_d.size() : map_.i_d.size() * map_.i_q.size();
  std::vector<double> result(values.size()), line(x.size());
  for (size_t i = 0; i < values.size(); ++i) {
    if (i / stride % x.size() != 0) continue;
    for (size_t k = 0; k < x.size(); ++k) line[k] = values[i + k * stride];
    const std::vector<double> s = spline_slopes(x, line);
    for (size_t k = 0; k < x.size(); ++k) result[i + k * stride] = s[k];
  }
  return result;
}

FluxMapSurface::Table FluxMapSurface::table(const std::vector<double>& values) const {
  Table t;
  t[0] = values;
  for (size_t axis = 0; axis < 3; ++axis)
    for (size_t bits = 0; bits < size_t{1} << axis; ++bits) t[bits | size_t{1} << axis] = slopes(t[bits], axis);
  return t;
}

FluxMapPoint FluxMapSurface::at(double i_d, double i_q, double i_f) const {
  const Shares d = shares_at(map_.i_d, i_d), q = shares_at(map_.i_q, i_q), f = shares_at(map_.i_f, i_f);
  double value[4]{}, by_d[4]{}, by_q[4]{};
  for (size_t corner = 0; corner < 8; ++corner) {
    const size_t a = corner & 1, b = corner >> 1 & 1, c = corner >> 2;
    if (f.of[c][0] == 0 && f.of[c][1] == 0) continue;  // a map of one field current
    const size_t i = map_.at(d.at[a], q.at[b], f.at[c]);
    for (size_t bits = 0; bits < 8; ++bits) {
      const size_t x = bits & 1, y = bits >> 1 & 1, z = bits >> 2;
      if (f.of[c][z] == 0) continue;
      const double share = d.of[a][x] * q.of[b][y] * f.of[c][z];
      const double share_d = d.derivative[a][x] * q.of[b][y] * f.of[c][z];
      const double share_q = d.of[a][x] * q.derivative[b][y] * f.of[c][z];
      for (size_t k = 0; k < 4; ++k) {
        const double entry = tables_[k][bits][i];
        value[k] += share * entry;
        by_d[k] += share_d * entry;
        by_q[k] += share_q * entry;
      }
    }
  }
  return {value[0], value[1], value[2], value[3], by_d[0], by_q[0], by_d[1], by_q[1]};
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
  FluxMapCurrents i = start ? *start : nearest(lambda_d, lambda_q, i_f);
  FluxMapPoint p = at(i.i_d, i.i_q, i_f);
  double left = std::hypot(lambda_d - p.lambda_d, lambda_q - p.lambda_q);
  for (int step = 0; step < 60 && left > 1e-13 * scale_; ++step) {
    const double a = lambda_d - p.lambda_d, b = lambda_q - p.lambda_q, det = p.l_dd * p.l_qq - p.l_dq * p.l_qd;
    if (!(det > 0)) break;
    bool nearer = false;
    for (double share = 1; share > 1e-6 && !nearer; share *= 0.5) {
      const FluxMapCurrents next{i.i_d + share * (a * p.l_qq - b * p.l_dq) / det,
                                 i.i_q + share * (b * p.l_dd - a * p.l_qd) / det};
      const FluxMapPoint there = at(next.i_d, next.i_q, i_f);
      const double now = std::hypot(lambda_d - there.lambda_d, lambda_q - there.lambda_q);
      nearer = now < left;
      if (!nearer) continue;
      i = next;
      p = there;
      left = now;
    }
    if (!nearer) break;
  }
  return left <= 1e-11 * scale_ ? std::optional(i) : std::nullopt;
}

FluxMapPoint look_up(const FluxMap& map, double i_d, double i_q, double i_f) {
  return FluxMapSurface(map).at(i_d, i_q, i_f);
}

std::optional<FluxMapCurrents> currents_of_linkages(const FluxMap& map, double lambda_d, double lambda_q, double i_f) {
  return FluxMapSurface(map).currents(lambda_d, lambda_q, i_f);
}

}  // namespace polepitch
