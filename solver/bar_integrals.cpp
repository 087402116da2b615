#include "solver/bar_integrals.h"

#include <fmt/format.h>

namespace polepitch {
namespace {

/// `use(u, v, value)` for every pair of unknowns of one triangle, ∫φ_u φ_v with the signs of slaves.
template <class Use>
void each_product(const FieldSystem& system, int triangle, Use use) {
  const int count = system.mesh.order == 2 ? 6 : 3;
  const auto& nodes = system.mesh.triangles[triangle];
  for (const QuadraturePoint& q : kTriangleRule) {
    const ElementPoint p = element_point(system.mesh, triangle, q.at);
    const double weight = q.weight * p.jacobian;
    for (int i = 0; i < count; ++i)
      for (int k = 0; k < count; ++k) {
        const int u = system.dofs.unknown[nodes[i]], v = system.dofs.unknown[nodes[k]];
        if (u >= 0 && v >= 0)
          use(u, v, system.dofs.sign[nodes[i]] * system.dofs.sign[nodes[k]] * weight * p.value[i] * p.value[k]);
      }
  }
}

void add_triangle(const FieldSystem& system, int triangle, BarIntegrals& bar) {
  const int count = system.mesh.order == 2 ? 6 : 3;
  const auto& nodes = system.mesh.triangles[triangle];
  for (const QuadraturePoint& q : kTriangleRule) {
    const ElementPoint p = element_point(system.mesh, triangle, q.at);
    const double weight = q.weight * p.jacobian;
    bar.area += weight;
    for (int i = 0; i < count; ++i)
      if (const int u = system.dofs.unknown[nodes[i]]; u >= 0)
        bar.shape[u] += system.dofs.sign[nodes[i]] * weight * p.value[i];
  }
  each_product(system, triangle, [&](int u, int v, double value) { bar.mass[{u, v}] += value; });
}

}  // namespace

bool is_bar(BranchKind kind) {
  return kind == BranchKind::bar || kind == BranchKind::damper;
}

std::vector<BarIntegrals> bar_integrals(const FieldSystem& system, const Materials& materials, BranchKind kind) {
  const Section& section = system.section;
  std::map<int, int> number;  // of the branches asked for
  for (size_t b = 0; b < section.branches.size(); ++b)
    if (section.branches[b].kind == kind) number[static_cast<int>(b)] = static_cast<int>(number.size());
  std::vector<BarIntegrals> bars(number.size());
  for (const auto& [branch, k] : number) bars[k].branch = branch;
  for (size_t e = 0; e < system.mesh.triangles.size(); ++e) {
    const Region& region = section.regions[system.mesh.region[e]];
    const auto it = number.find(region.branch);
    if (it == number.end()) continue;
    BarIntegrals& bar = bars[it->second];
    bar.conductivity = materials.at(region.material).conductivity_at(system.options.temperature);
    if (bar.conductivity <= 0)
      throw InputError(fmt::format("the bars are of \"{}\", whose conductivity is not stated", region.material),
                       "state conductivity in the material's file");
    add_triangle(system, static_cast<int>(e), bar);
  }
  return bars;
}

std::vector<BarIntegrals> solid_integrals(const FieldSystem& system, const std::vector<double>& conductivity) {
  std::map<int, BarIntegrals> parts;
  for (size_t e = 0; e < system.mesh.triangles.size(); ++e) {
    const int r = system.mesh.region[e];
    if (conductivity[r] <= 0) continue;
    BarIntegrals& part = parts[r];
    part.conductivity = conductivity[r];
    add_triangle(system, static_cast<int>(e), part);
  }
  std::vector<BarIntegrals> list;
  for (auto& [region, part] : parts) list.push_back(std::move(part));
  return list;
}

std::vector<double> mass_values(const FieldSystem& system, const std::vector<double>& conductivity) {
  std::vector<double> values(system.pattern.row.size(), 0.0);
  for (size_t e = 0; e < system.mesh.triangles.size(); ++e) {
    const double sigma = conductivity[system.mesh.region[e]];
    if (sigma == 0) continue;
    each_product(system, static_cast<int>(e), [&](int u, int v, double value) {
      if (u >= v) values[system.pattern.position(u, v)] += sigma * value;
    });
  }
  return values;
}

std::vector<double> squares(const FieldSystem& system, const std::vector<double>& conductivity,
                            const std::vector<double>& u, const std::vector<double>& x) {
  std::vector<double> sums(conductivity.size(), 0.0);
  const int count = system.mesh.order == 2 ? 6 : 3;
  for (size_t e = 0; e < system.mesh.triangles.size(); ++e) {
    const int r = system.mesh.region[e];
    if (conductivity[r] == 0) continue;
    for (const QuadraturePoint& q : kTriangleRule) {
      const ElementPoint p = element_point(system.mesh, static_cast<int>(e), q.at);
      double value = u[r];
      for (int i = 0; i < count; ++i) value -= p.value[i] * system.dofs.value(x, system.mesh.triangles[e][i]);
      sums[r] += conductivity[r] * q.weight * p.jacobian * value * value;
    }
  }
  return sums;
}

}  // namespace polepitch
