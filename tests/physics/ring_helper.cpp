#include "tests/physics/ring_helper.h"

#include <gtest/gtest.h>

#include <cmath>
#include <cstdio>

namespace polepitch::test {
namespace {

Point polar(double r, double angle) {
  return {r * std::cos(angle), r * std::sin(angle)};
}

/// `radii` with that of the gap circle.
void draw_side(const RingMachine& m, Section& section, Side side, const std::vector<double>& radii, double start) {
  SideSection& s = section.sides[static_cast<int>(side)];
  const int per_sector = m.segments / m.sectors;
  const bool closed = m.sectors == 1;
  const int columns = closed ? per_sector : per_sector + 1;
  const double pitch = 2 * pi / m.segments;
  const int levels = static_cast<int>(radii.size());
  s.start_angle = start;
  for (double r : radii)
    for (int k = 0; k < columns; ++k) s.points.push_back(polar(r, start + k * pitch));
  auto point = [&](int level, int k) { return level * columns + (closed ? k % columns : k); };
  std::vector<std::vector<int>> arcs(levels), lines(levels - 1);
  for (int i = 0; i < levels; ++i)
    for (int k = 0; k < per_sector; ++k) {
      arcs[i].push_back(static_cast<int>(s.curves.size()));
      s.curves.push_back({point(i, k), point(i, k + 1), true, {0, 0}, true});
    }
  for (int i = 0; i + 1 < levels; ++i)
    for (int k = 0; k < columns; ++k) {
      lines[i].push_back(static_cast<int>(s.curves.size()));
      s.curves.push_back({point(i, k), point(i + 1, k), false, {}, true});
    }
  for (int i = 0; i + 1 < levels; ++i)
    for (int k = 0; k < per_sector; ++k) {
      const double middle = start + (k + 0.5) * pitch;
      Region r;
      r.side = side;
      r.name = "ring " + std::to_string(i) + " segment " + std::to_string(k);
      r.material = "air";
      const int right = lines[i][k], left = lines[i][closed ? (k + 1) % columns : k + 1];
      r.loops = {{right, arcs[i + 1][k], -1 - left, -1 - arcs[i][k]}};
      r.seed = polar(0.5 * (radii[i] + radii[i + 1]), middle);
      r.area = 0.5 * pitch * (radii[i + 1] * radii[i + 1] - radii[i] * radii[i]);
      if (m.dress) m.dress(side, i, k, middle, r);
      section.regions.push_back(r);
    }
  const bool outer = side == section.outer_side();
  s.gap_curves = arcs[outer ? 0 : levels - 1];
  s.far_curves = arcs[outer ? levels - 1 : 0];
  s.gap_radius = outer ? radii.front() : radii.back();
  s.far_radius = outer ? radii.back() : radii.front();
  if (!closed)
    for (int i = 0; i + 1 < levels; ++i) {
      s.start_edge.push_back(lines[i].front());
      s.end_edge.push_back(lines[i].back());
    }
}

}  // namespace

Section draw_rings(const RingMachine& m) {
  Section section;
  section.pole_pairs = m.pole_pairs;
  section.sectors = m.sectors;
  section.sign = m.sign;
  section.length = m.length;
  const bool outside = m.rotor_radii.front() > m.stator_radii.back();
  section.stator_radius = outside ? m.stator_radii.back() : m.stator_radii.front();
  section.rotor_radius = outside ? m.rotor_radii.front() : m.rotor_radii.back();
  section.branches = m.branches;
  section.outer = m.outer;
  section.inner = m.inner;
  const double third = section.gap() / 3;
  std::vector<double> stator = m.stator_radii, rotor = m.rotor_radii;
  std::vector<double>&inner = outside ? stator : rotor, &outer = outside ? rotor : stator;
  outer.insert(outer.begin(), outer.front() - third);
  inner.push_back(inner.back() + third);
  draw_side(m, section, Side::stator, stator, 0);
  draw_side(m, section, Side::rotor, rotor, m.rotor_start);
  return section;
}

Materials ring_materials(double remanence, double mu_r) {
  Materials materials;
  materials["air"].name = "air";
  materials["iron"].mu_r = 1e9;
  materials["magnet"].mu_r = mu_r;
  materials["magnet"].remanence = remanence;
  return materials;
}

double fitted_rate(const std::vector<double>& elements, const std::vector<double>& errors) {
  double sx = 0, sy = 0, sxx = 0, sxy = 0;
  const auto n = static_cast<double>(elements.size());
  for (size_t i = 0; i < elements.size(); ++i) {
    const double x = -0.5 * std::log(elements[i]), y = std::log(errors[i]);
    sx += x, sy += y, sxx += x * x, sxy += x * y;
  }
  return (n * sxy - sx * sy) / (n * sxx - sx * sx);
}

void record_errors(const std::string& what, const std::vector<double>& errors) {
  for (size_t i = 0; i < errors.size(); ++i) {
    char text[32];
    std::snprintf(text, sizeof text, "%.3e", errors[i]);
    ::testing::Test::RecordProperty(what + "_error_" + std::to_string(i + 1), text);
  }
}

}  // namespace polepitch::test
