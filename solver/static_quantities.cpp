// What can be read off a converged field without knowing the machine: B, H, energies, linkages, torques.
#include <algorithm>
#include <cmath>
#include <stdexcept>

#include "solver/iron_force.h"
#include "solver/static_field.h"
#include "solver/static_field_impl.h"

namespace polepitch {
namespace {

struct LocalField {
  ElementPoint point;
  double bx = 0, by = 0;
};

LocalField local_field(const Mesh& mesh, const std::vector<double>& a, int triangle, Barycentric at) {
  LocalField f{element_point(mesh, triangle, at)};
  const int count = mesh.order == 2 ? 6 : 3;
  for (int i = 0; i < count; ++i) {
    const double node = a[mesh.triangles[triangle][i]];
    f.bx += node * f.point.dy[i];
    f.by -= node * f.point.dx[i];
  }
  return f;
}

std::pair<int, int> triangle_range(const Mesh& mesh, Side side) {
  if (side == Side::stator) return {0, mesh.stator_triangles};
  return {mesh.stator_triangles, static_cast<int>(mesh.triangles.size())};
}

}  // namespace

bool StaticField::Impl::has_bubbles(const StaticSolution& solution) const {
  if (solution.bubbles.empty()) return false;
  if (!third) throw std::logic_error("a field of third order is read as one of second order");
  return true;
}

Point StaticField::Impl::flux_between(const StaticSolution& solution, int triangle, Barycentric at) const {
  return has_bubbles(solution) ? third->flux_density(triangle, at, solution.bubbles) : Point{0, 0};
}

StaticField::Vector StaticField::flux_density(const StaticSolution& solution, int triangle, double l1,
                                              double l2) const {
  const LocalField f = local_field(mesh(), solution.a, triangle, {l1, l2});
  const Point more = impl_->flux_between(solution, triangle, {l1, l2});
  return {f.bx + more.x, f.by + more.y};
}

StaticField::Vector StaticField::field_strength(const StaticSolution& solution, int triangle, double l1,
                                                double l2) const {
  const Vector b = flux_density(solution, triangle, l1, l2);
  const LocalField f = local_field(mesh(), solution.a, triangle, {l1, l2});
  const int r = mesh().region[triangle];
  const Point rem = remanence_vector(section().regions[r], remanence(r), f.point.x, f.point.y);
  double nu, slope;
  curve(r).reluctivity(b.x * b.x + b.y * b.y, nu, slope);
  return {nu * (b.x - rem.x), nu * (b.y - rem.y)};
}

double StaticField::current_density(const Excitation& excitation, int region) const {
  const Region& r = section().regions[region];
  if (r.branch < 0 || r.branch >= static_cast<int>(excitation.currents.size())) return 0;
  return r.turns * excitation.currents[r.branch] / impl_->system.area[region];
}

double StaticField::energy(const StaticSolution& solution) const {
  const FieldSystem& s = impl_->system;
  const GapTurn turn = s.annulus->turn(solution.rotor_angle);
  const double sum = impl_->has_bubbles(solution) ? impl_->third->energy(turn, impl_->unknowns_of(solution))
                                                  : field_energy(s, turn, s.gather(solution.a));
  return sum * section().length * section().sectors;
}

double StaticField::coenergy(const StaticSolution& solution, const Excitation& excitation) const {
  const std::vector<double> linked = linkages(solution);
  double sum = -energy(solution);
  for (size_t b = 0; b < linked.size() && b < excitation.currents.size(); ++b)
    sum += excitation.currents[b] * linked[b];
  return sum;
}

std::vector<double> StaticField::linkages(const StaticSolution& solution) const {
  const std::vector<double> x = impl_->system.gather(solution.a);
  std::vector<double> linked;
  for (size_t b = 0; b < impl_->system.branch.size(); ++b) {
    double sum = impl_->system.branch[b].dot(x);
    if (impl_->has_bubbles(solution)) sum += impl_->third->linkage(static_cast<int>(b), solution.bubbles);
    linked.push_back(sum * section().length * section().sectors);
  }
  return linked;
}

double StaticField::mean_potential(const StaticSolution& solution, int region) const {
  double sum = 0;
  const int count = mesh().order == 2 ? 6 : 3;
  for (size_t e = 0; e < mesh().triangles.size(); ++e) {
    if (mesh().region[e] != region) continue;
    for (const QuadraturePoint& q : kTriangleRule) {
      const ElementPoint p = element_point(mesh(), static_cast<int>(e), q.at);
      for (int i = 0; i < count; ++i) sum += q.weight * p.jacobian * p.value[i] * solution.a[mesh().triangles[e][i]];
    }
  }
  const double more = impl_->has_bubbles(solution) ? impl_->third->mean_potential(region, solution.bubbles) : 0;
  return sum / impl_->system.area[region] + more;
}

double StaticField::torque(const StaticSolution& solution) const {
  return solution.gap.torque_per_length() * section().length;
}

double StaticField::torque_virtual_work(const StaticSolution& solution, Side side) const {
  // γ is 1 on the gap circle's nodes and 0 elsewhere; the layer of elements that touch the circle deforms by γ r θ̂ at
  // constant nodal A. Turning the circle against this side changes its energy by ∓T dθ.
  const Mesh& m = mesh();
  std::vector<char> on_circle(m.nodes.size(), 0);
  for (int node : m.gap[static_cast<int>(side)].nodes) on_circle[node] = 1;
  const int count = m.order == 2 ? 6 : 3;
  const auto [first, last] = triangle_range(m, side);
  double sum = 0;
  for (int e = first; e < last; ++e) {
    bool touches = false;
    for (int i = 0; i < count; ++i) touches = touches || on_circle[m.triangles[e][i]];
    if (!touches) continue;
    for (const QuadraturePoint& q : kTriangleRule) {
      const ElementPoint p = element_point(m, e, q.at);
      double ax = 0, ay = 0, vxx = 0, vxy = 0, vyx = 0, vyy = 0;  // ∂A/∂x …, ∂v_x/∂x, ∂v_x/∂y, ∂v_y/∂x, ∂v_y/∂y
      for (int i = 0; i < count; ++i) {
        const int node = m.triangles[e][i];
        ax += p.dx[i] * solution.a[node];
        ay += p.dy[i] * solution.a[node];
        if (!on_circle[node]) continue;
        vxx -= p.dx[i] * m.nodes[node].y;
        vxy -= p.dy[i] * m.nodes[node].y;
        vyx += p.dx[i] * m.nodes[node].x;
        vyy += p.dy[i] * m.nodes[node].x;
      }
      const double stretch = 0.5 * (ax * ax + ay * ay) * (vxx + vyy);
      const double shear = ax * (vxx * ax + vyx * ay) + ay * (vxy * ax + vyy * ay);
      sum += q.weight * p.jacobian * (stretch - shear) / mu0;
    }
  }
  return (side == Side::stator ? -sum : sum) * section().length * section().sectors;
}

double StaticField::torque_arkkio(const StaticSolution& solution, Side side) const {
  // A. Arkkio, Acta Polytechnica Scandinavica El 59, 1987: T = L/(μ0 (r2 − r1)) ∫ r B_r B_θ dS over a ring of air. At
  // slot mouths and under tapered poles triangles reach out of the ring: they are cut up and counted point by point.
  const Mesh& m = mesh();
  const bool stator = side == Side::stator;
  const double circle = section().gap_circle(side), surface = stator ? section().stator_radius : section().rotor_radius;
  const double low = std::min(circle, surface), high = std::max(circle, surface);
  const double slack = 1e-9 * high;
  const auto integrand = [&](int e, Barycentric at, double weight, bool clip) {
    const LocalField f = local_field(m, solution.a, e, at);
    const double r = std::hypot(f.point.x, f.point.y), co = f.point.x / r, si = f.point.y / r;
    if (clip && (r < low || r > high)) return 0.0;
    return weight * f.point.jacobian * r * (f.bx * co + f.by * si) * (f.by * co - f.bx * si);
  };
  constexpr int kCut = 16;  // subdivisions of an edge of a triangle that reaches out
  const auto [first, last] = triangle_range(m, side);
  double sum = 0;
  for (int e = first; e < last; ++e) {
    int within = 0;
    bool touches = false;
    for (int i = 0; i < 3; ++i) {
      const Point& n = m.nodes[m.triangles[e][i]];
      const double r = std::hypot(n.x, n.y);
      within += r >= low - slack && r <= high + slack;
      touches = touches || (r > low + slack && r < high - slack) || std::abs(r - circle) <= slack;
    }
    if (within == 3) {
      for (const QuadraturePoint& q : kTriangleRule) sum += integrand(e, q.at, q.weight, false);
    } else if (touches || within > 0) {
      for (int i = 0; i < kCut; ++i)
        for (int j = 0; j < 2 * (kCut - i) - 1; ++j) {
          const double third = (j % 2 ? 2.0 : 1.0) / 3;
          sum += integrand(e, {(i + third) / kCut, (j / 2 + third) / kCut}, 0.5 / (kCut * kCut), true);
        }
    }
  }
  const double on_rotor = section().rotor_outside() ? -1 : 1;  // the integral is the torque on what lies inside
  return on_rotor * sum / (mu0 * (high - low)) * section().length * section().sectors;
}

double StaticField::potential(const StaticSolution& solution, Side side, Point p) const {
  auto& locator = impl_->locator[static_cast<int>(side)];
  if (!locator) locator = std::make_unique<Locator>(section(), mesh(), side);
  constexpr double kReach = 0.25;  // on the circle of a hole, where coarse elements beside it are flat
  const Located at = locator->find(p, kReach);
  if (at.triangle < 0) throw GeometryError("a point to be sampled lies outside the mesh");
  const ShapeValues s = shape_values(mesh().order, {at.l1, at.l2});
  const int count = mesh().order == 2 ? 6 : 3;
  double sum = 0;
  for (int i = 0; i < count; ++i) sum += s.value[i] * solution.a[mesh().triangles[at.triangle][i]];
  return at.sign * sum;
}

}  // namespace polepitch
