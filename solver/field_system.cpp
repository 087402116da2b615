#include "solver/field_system.h"

#include <algorithm>
#include <cmath>

namespace polepitch {
namespace {

constexpr bool takes_stacking(Role role) {
  return role == Role::core;
}

int order_limit(const Section& section, const Mesh& mesh, const SolverOptions& options) {
  const double gap_ratio = 0.5 * (section.stator_radius + section.rotor_radius) / section.gap();
  size_t edges = mesh.gap[0].nodes.size();
  edges = std::min(edges, mesh.gap[1].nodes.size());
  const double edges_round = static_cast<double>((edges - 1) / static_cast<size_t>(mesh.order)) * mesh.sectors;
  return static_cast<int>(std::min(options.harmonics_per_gap * gap_ratio, options.harmonics_share * edges_round));
}

}  // namespace

SparseVector compress(const std::map<int, double>& entries) {
  SparseVector v;
  for (const auto& [i, value] : entries) {
    v.index.push_back(i);
    v.value.push_back(value);
  }
  return v;
}

Point remanence_vector(const Region& region, double remanence, double x, double y) {
  const Magnetisation& m = region.magnetisation;
  if (m.pattern == Magnetisation::Pattern::parallel)
    return {remanence * std::cos(m.direction), remanence * std::sin(m.direction)};
  if (m.pattern == Magnetisation::Pattern::radial) {
    const double r = std::hypot(x, y);
    return {remanence * m.sign * x / r, remanence * m.sign * y / r};
  }
  return {0, 0};
}

FieldSystem::FieldSystem(const Section& sec, const Mesh& m, const Materials& materials, const SolverOptions& opt)
    : section(sec),
      mesh(m),
      options(opt),
      dofs(number_unknowns(m, sec.far_boundary(Side::stator), sec.far_boundary(Side::rotor))) {
  read_materials(materials);
  annulus = std::make_unique<Annulus>(
      mesh, dofs, admitted_orders(section.sectors, section.sign, order_limit(section, mesh, options)));
  build_pattern_and_gap();
  assemble_linear();
  assemble_sources();
  build_scatter();
  pack_iron();
}

void FieldSystem::read_materials(const Materials& materials) {
  area.assign(section.regions.size(), 0.0);
  for (const Region& region : section.regions) {
    const auto it = materials.find(region.material);
    if (it == materials.end()) throw InputError("there is no material named '" + region.material + "'");
    const Material& material = it->second;
    curves.push_back(material.curve(takes_stacking(region.role) ? section.stacking_factor : 1.0));
    const bool magnet = region.magnetisation.pattern != Magnetisation::Pattern::none;
    remanence.push_back(magnet ? material.remanence_at(options.temperature) : 0.0);
  }
}

void FieldSystem::build_pattern_and_gap() {
  std::vector<std::vector<int>> groups;
  groups.reserve(mesh.triangles.size() + 2);
  const int count = mesh.order == 2 ? 6 : 3;
  for (const auto& t : mesh.triangles) {
    std::vector<int>& group = groups.emplace_back();
    for (int i = 0; i < count; ++i) group.push_back(dofs.unknown[t[i]]);
  }
  TraceFourier outside;
  if (section.outer == FarBoundary::open) {
    outside = trace_fourier(mesh, dofs, mesh.far[static_cast<int>(section.outer_side())], outside_orders());
    groups.push_back(outside.unknowns);
  }
  pattern = build_pattern(dofs.unknowns, groups);

  linear.assign(pattern.row.size(), 0.0);
  if (section.outer == FarBoundary::open)
    add_block(pattern, outside.unknowns, outside_block(outside, outside_orders(), section.sectors), linear);
}

std::vector<int> FieldSystem::outside_orders() const {
  return admitted_orders(section.sectors, section.sign, std::max(annulus->orders().back(), 3 * section.sectors));
}

void FieldSystem::assemble_linear() {
  std::vector<int> curved, straight;
  for (size_t e = 0; e < mesh.triangles.size(); ++e)
    (curves[mesh.region[e]].linear() ? straight : curved).push_back(static_cast<int>(e));
  nonlinear = tabulate(mesh, dofs, curved);
  for (int e : curved) nonlinear_region.push_back(mesh.region[e]);

  const ElementTable table = tabulate(mesh, dofs, straight);
  for (size_t e = 0; e < straight.size(); ++e) {
    const ElementTable::Element& element = table.elements[e];
    double nu, slope;
    curves[mesh.region[straight[e]]].reluctivity(0, nu, slope);
    for (int i = 0; i < 6; ++i)
      for (int j = 0; j < 6; ++j) {
        if (element.unknown[i] < 0 || element.unknown[j] < 0 || element.unknown[i] < element.unknown[j]) continue;
        double k = 0;
        for (const auto& p : element.point) k += p.weight * (p.cx[i] * p.cx[j] + p.cy[i] * p.cy[j]);
        linear[pattern.position(element.unknown[i], element.unknown[j])] += nu * k;
      }
  }
}

void FieldSystem::assemble_sources() {
  const int count = mesh.order == 2 ? 6 : 3;
  std::vector<std::map<int, double>> shape_integral(section.regions.size());
  std::map<int, double> magnet;
  for (size_t e = 0; e < mesh.triangles.size(); ++e) {
    const int r = mesh.region[e];
    double nu, slope;
    curves[r].reluctivity(0, nu, slope);
    for (const QuadraturePoint& q : kTriangleRule) {
      const ElementPoint p = element_point(mesh, static_cast<int>(e), q.at);
      const double weight = q.weight * p.jacobian;
      area[r] += weight;
      const Point rem = remanence_vector(section.regions[r], remanence[r], p.x, p.y);
      magnet_energy += 0.5 * nu * weight * (rem.x * rem.x + rem.y * rem.y);
      for (int i = 0; i < count; ++i) {
        const int node = mesh.triangles[e][i], u = dofs.unknown[node];
        if (u < 0) continue;
        if (section.regions[r].branch >= 0) shape_integral[r][u] += dofs.sign[node] * weight * p.value[i];
        if (remanence[r] != 0) magnet[u] += dofs.sign[node] * weight * nu * (rem.x * p.dy[i] - rem.y * p.dx[i]);
      }
    }
  }
  magnets = compress(magnet);
  std::vector<std::map<int, double>> by_branch(section.branches.size());
  for (size_t r = 0; r < section.regions.size(); ++r)
    if (section.regions[r].branch >= 0)
      for (const auto& [u, integral] : shape_integral[r])
        by_branch[section.regions[r].branch][u] += section.regions[r].turns / area[r] * integral;
  for (const auto& entries : by_branch) branch.push_back(compress(entries));
}

void FieldSystem::build_scatter() {
  for (const ElementTable::Element& element : nonlinear.elements)
    for (int i = 0; i < 6; ++i)
      for (int j = 0; j <= i; ++j) {
        const int a = element.unknown[i], b = element.unknown[j];
        const bool skip = a < 0 || b < 0;
        scatter.push_back(skip ? -1 : pattern.position(std::max(a, b), std::min(a, b)));
        if (!skip && i != j && a == b) doubled.push_back(static_cast<int>(scatter.size()) - 1);
      }
}

void FieldSystem::pack_iron() {
  for (int q = 0; q < kQuad; ++q) {
    const ShapeValues s = shape_values(mesh.order, kTriangleRule[q].at);
    std::copy_n(s.d1.data(), 6, iron_slopes.d1[q]);
    std::copy_n(s.d2.data(), 6, iron_slopes.d2[q]);
  }
  for (const std::vector<int>& places : group_by_region(nonlinear_region)) {
    IronPack& pack = iron.emplace_back(empty_pack<6, kQuad>(nonlinear_region[places.front()]));
    for (int l = 0; l < static_cast<int>(places.size()); ++l) {
      const int triangle = nonlinear.triangle[places[l]];
      pack.element[l] = places[l];
      for (int i = 0; i < (mesh.order == 2 ? 6 : 3); ++i) {
        const int node = mesh.triangles[triangle][i], unknown = dofs.unknown[node];
        if (unknown < 0) continue;
        pack.unknown[i][l] = unknown;
        pack.sign[i][l] = dofs.sign[node];
      }
      for (int q = 0; q < kQuad; ++q) set_point(mesh, triangle, kTriangleRule[q], l, pack.point[q]);
    }
  }
}

void FieldSystem::add_linear_force(const GapTurn& turn, const std::vector<double>& x, std::vector<double>& y) const {
  multiply_symmetric(pattern, linear, x, y);
  annulus->add_force(turn, x, y);
}

std::vector<double> FieldSystem::gather(const std::vector<double>& nodal) const {
  std::vector<double> x(size(), 0.0);
  for (size_t n = 0; n < nodal.size(); ++n)
    if (dofs.unknown[n] >= 0) x[dofs.unknown[n]] = dofs.sign[n] * nodal[n];
  return x;
}

std::vector<double> FieldSystem::expand(const std::vector<double>& x) const {
  std::vector<double> nodal(mesh.nodes.size());
  for (size_t n = 0; n < nodal.size(); ++n) nodal[n] = dofs.value(x, static_cast<int>(n));
  return nodal;
}

std::vector<double> FieldSystem::source(const Excitation& excitation) const {
  std::vector<double> f(size(), 0.0);
  for (size_t b = 0; b < branch.size() && b < excitation.currents.size(); ++b)
    if (excitation.currents[b] != 0) branch[b].add_to(f, excitation.currents[b]);
  magnets.add_to(f, excitation.magnets);
  return f;
}

}  // namespace polepitch
