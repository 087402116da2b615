#include "solver/third_order_tables.h"

#include <map>

namespace polepitch {
namespace {

std::array<QuadraturePoint, kThirdPoints> make_rule() {
  std::array<QuadraturePoint, kThirdPoints> rule{};
  size_t n = 0;
  const auto three = [&](double a, double weight) {
    const double b = 1 - 2 * a;
    for (const Barycentric at : {Barycentric{a, a}, {a, b}, {b, a}}) rule[n++] = {at, 0.5 * weight};
  };
  three(0.249286745170910, 0.116786275726379);
  three(0.063089014491502, 0.050844906370207);
  const double a = 0.310352451033785, b = 0.636502499121399, c = 1 - a - b, weight = 0.082851075618374;
  for (const Barycentric at : {Barycentric{a, b}, {b, a}, {a, c}, {c, a}, {b, c}, {c, b}})
    rule[n++] = {at, 0.5 * weight};
  return rule;
}

const std::array<QuadraturePoint, kThirdPoints> kRule = make_rule();

constexpr int kEdges[3][3] = {{3, 0, 1}, {4, 1, 2}, {5, 2, 0}};  // middle and corners

}  // namespace

const std::array<QuadraturePoint, kThirdPoints>& third_order_rule() {
  return kRule;
}

BubbleValues bubble_values(Barycentric at) {
  const double l[3] = {1 - at.l1 - at.l2, at.l1, at.l2};
  constexpr double kD1[3] = {-1, 1, 0}, kD2[3] = {-1, 0, 1};
  BubbleValues s{};
  for (int k = 0; k < 3; ++k) {
    const int a = k, b = (k + 1) % 3;
    const double by_a = l[b] * (2 * l[a] - l[b]), by_b = l[a] * (l[a] - 2 * l[b]);
    s.value[k] = l[a] * l[b] * (l[a] - l[b]);
    s.d1[k] = by_a * kD1[a] + by_b * kD1[b];
    s.d2[k] = by_a * kD2[a] + by_b * kD2[b];
  }
  s.value[3] = l[0] * l[1] * l[2];
  s.d1[3] = l[2] * (l[0] - l[1]);
  s.d2[3] = l[1] * (l[0] - l[2]);
  return s;
}

ThirdOrderTables::ThirdOrderTables(const FieldSystem& s) : system(s), elements(s.mesh.triangles.size()) {
  number_bubbles();
  integrate_shapes();
  for (int side = 0; side < 2; ++side) gap[side] = trace_bubbles(system.mesh.gap[side], system.annulus->orders());
  if (system.section.outer != FarBoundary::open) return;
  outside_orders = system.outside_orders();
  const TraceCircle& far = system.mesh.far[static_cast<int>(system.section.outer_side())];
  outside = trace_bubbles(far, outside_orders);
  outside_second = trace_fourier(system.mesh, system.dofs, far, outside_orders);
}

int ThirdOrderTables::edge_bubble(int mid, int a, int b, double& sign) const {
  const Dofs& dofs = system.dofs;
  const int unknown = dofs.unknown[mid];
  sign = 0;
  // Along a circle of one free constant middle and corners share their unknown.
  if (unknown < 0 || unknown == dofs.unknown[a] || unknown == dofs.unknown[b]) return -1;
  int from = dofs.unknown[a], to = dofs.unknown[b];
  if (from == to) from = a, to = b;  // both fixed: no slave edge has that
  sign = dofs.sign[mid] * (from < to ? 1 : -1);
  return bubble_of_[unknown];
}

void ThirdOrderTables::number_bubbles() {
  const Mesh& mesh = system.mesh;
  size = system.size();
  bubble_of_.assign(static_cast<size_t>(size), -1);
  for (const auto& t : mesh.triangles)
    for (const auto& edge : kEdges)
      if (const int unknown = system.dofs.unknown[t[edge[0]]]; unknown >= 0 && bubble_of_[unknown] < 0)
        bubble_of_[unknown] = size++;
  kept = size;
  for (size_t e = 0; e < elements.size(); ++e) {
    const auto& t = mesh.triangles[e];
    ThirdOrderElement& element = elements[e];
    for (int i = 0; i < 6; ++i) {
      element.unknown[i] = system.dofs.unknown[t[i]];
      element.sign[i] = element.unknown[i] < 0 ? 0 : system.dofs.sign[t[i]];
    }
    for (int k = 0; k < 3; ++k)
      element.unknown[6 + k] = edge_bubble(t[kEdges[k][0]], t[kEdges[k][1]], t[kEdges[k][2]], element.sign[6 + k]);
    element.unknown[9] = size++;
    element.sign[9] = 1;
  }
}

void ThirdOrderTables::integrate_shapes() {
  const Section& section = system.section;
  std::vector<std::map<int, double>> integral(section.regions.size()), linked(section.branches.size());
  std::map<int, double> magnet;
  for (size_t e = 0; e < elements.size(); ++e) {
    const int r = system.mesh.region[e];
    const ThirdOrderElement& element = elements[e];
    double nu, slope;
    system.curves[r].reluctivity(0, nu, slope);
    for (int q = 0; q < kThirdPoints; ++q) {
      const ElementPoint p = element_point(system.mesh, static_cast<int>(e), kRule[q].at);
      const BubbleValues bubbles = bubble_values(kRule[q].at);
      const double weight = kRule[q].weight * p.jacobian;
      const Point rem = remanence_vector(section.regions[r], system.remanence[r], p.x, p.y);
      for (int i = 6; i < kThirdShapes; ++i) {
        if (element.unknown[i] < 0) continue;
        integral[r][element.unknown[i]] += element.sign[i] * weight * bubbles.value[i - 6] / system.area[r];
        if (system.remanence[r] == 0) continue;
        const Point grad = p.gradient(bubbles.d1[i - 6], bubbles.d2[i - 6]);
        magnet[element.unknown[i]] += element.sign[i] * weight * nu * (rem.x * grad.y - rem.y * grad.x);
      }
    }
  }
  magnets = compress(magnet);
  for (size_t r = 0; r < integral.size(); ++r) {
    region.push_back(compress(integral[r]));
    if (const int b = section.regions[r].branch; b >= 0)
      for (const auto& [unknown, value] : integral[r]) linked[b][unknown] += section.regions[r].turns * value;
  }
  for (const auto& entries : linked) branch.push_back(compress(entries));
}

TraceFourier ThirdOrderTables::trace_bubbles(const TraceCircle& circle, const std::vector<int>& orders) const {
  TraceFourier trace;
  std::vector<double> signs;
  std::vector<Eigen::Index> column;  // of each edge, −1: fixed
  for (size_t k = 0; k + 2 < circle.nodes.size(); k += 2) {
    double sign;
    const int bubble = edge_bubble(circle.nodes[k + 1], circle.nodes[k], circle.nodes[k + 2], sign);
    column.push_back(bubble < 0 ? -1 : static_cast<Eigen::Index>(trace.unknowns.size()));
    if (bubble >= 0) trace.unknowns.push_back(bubble);
    signs.push_back(sign);
  }
  const auto rows = static_cast<Eigen::Index>(orders.size()),
             columns = static_cast<Eigen::Index>(trace.unknowns.size());
  trace.re = Eigen::MatrixXd::Zero(rows, columns);
  trace.im = Eigen::MatrixXd::Zero(rows, columns);
  integrate_phases(system.mesh, circle, orders, [&](size_t edge, double t, const Phases& phase) {
    if (column[edge] < 0) return;
    const double bubble = signs[edge] * 0.25 * (1 - t * t) * -t;  // l_a l_b (l_a − l_b)
    trace.re.col(column[edge]) += bubble * phase.cosine;
    trace.im.col(column[edge]) -= bubble * phase.sine;
  });
  return trace;
}

}  // namespace polepitch
