#include "post/figure_disc.h"

#include <algorithm>
#include <cmath>
#include <unordered_map>
#include <utility>

#include "post/element_field.h"
#include "post/gap_samples.h"
#include "solver/bh_curve.h"

namespace polepitch {
namespace {

constexpr int parts[4][3] = {{0, 3, 5}, {3, 1, 4}, {5, 4, 2}, {3, 4, 5}};  // of a second-order triangle

struct Spoke {
  double angle;  // 0 … 2π
  int node;
};

Point turned(Point p, double angle) {
  const double c = std::cos(angle), s = std::sin(angle);
  return {c * p.x - s * p.y, s * p.x + c * p.y};
}

class DiscBuilder {
 public:
  DiscBuilder(const Mesh& mesh, std::span<const double> a, double rotor_angle)
      : mesh_(mesh), count_(static_cast<int>(mesh.nodes.size())), twin_(mesh.nodes.size(), -1) {
    for (const NodePair& pair : mesh.pairs)
      if (pair.slave != pair.master) twin_[static_cast<std::size_t>(pair.slave)] = pair.master;
    const double reach = 1e-9 * mesh.gap[0].radius;
    for (int k = 0; k < mesh.sectors; ++k)
      for (int i = 0; i < count_; ++i) {
        const Point& p = mesh.nodes[static_cast<std::size_t>(i)];
        if (k == 0 && std::hypot(p.x, p.y) < reach) hub_ = i;
        disc_.mesh.nodes.push_back(turned(p, rotation(k, i < mesh.stator_nodes ? 0 : rotor_angle)));
        disc_.values.push_back((k % 2 != 0 ? mesh.sign : 1) * a[static_cast<std::size_t>(i)]);
      }
  }

  // Node i of sector k; the sector's end is the next sector's start, and the axis is one node for all.
  int id(int i, int k) const {
    if (i == hub_) return i;
    if (twin_[static_cast<std::size_t>(i)] >= 0) i = twin_[static_cast<std::size_t>(i)], k = (k + 1) % mesh_.sectors;
    return k * count_ + i;
  }

  void add_elements() {
    for (int k = 0; k < mesh_.sectors; ++k)
      for (const auto& t : mesh_.triangles) {
        const int pieces = mesh_.order == 1 ? 1 : 4;
        for (int q = 0; q < pieces; ++q) {
          const int* c = parts[q];
          disc_.mesh.triangles.push_back(mesh_.order == 1 ? std::array{id(t[0], k), id(t[1], k), id(t[2], k)}
                                                          : std::array{id(t[c[0]], k), id(t[c[1]], k), id(t[c[2]], k)});
        }
      }
  }

  std::vector<Spoke> trace(Side side, double rotor_angle) const {
    const auto& nodes = mesh_.gap[static_cast<int>(side)].nodes;
    std::vector<Spoke> spokes;
    for (int k = 0; k < mesh_.sectors; ++k)
      for (std::size_t i = 0; i + 1 < nodes.size(); ++i) {
        const Point& p = mesh_.nodes[static_cast<std::size_t>(nodes[i])];
        const double angle = std::atan2(p.y, p.x) + rotation(k, side == Side::rotor ? rotor_angle : 0);
        spokes.push_back({angle - 2 * pi * std::floor(angle / (2 * pi)), id(nodes[i], k)});
      }
    std::sort(spokes.begin(), spokes.end(), [](const Spoke& a, const Spoke& b) { return a.angle < b.angle; });
    return spokes;
  }

  std::vector<Spoke> add_circle(const CircleSamples& circle) {
    const std::size_t n = circle.a.size();
    std::vector<Spoke> spokes;
    for (std::size_t k = 0; k < n; ++k) {
      const double angle = 2 * pi * static_cast<double>(k) / static_cast<double>(n);
      spokes.push_back({angle, static_cast<int>(disc_.mesh.nodes.size())});
      disc_.mesh.nodes.push_back({circle.radius * std::cos(angle), circle.radius * std::sin(angle)});
      disc_.values.push_back(circle.a[k]);
    }
    return spokes;
  }

  // Triangles between two circles of any points, by walking round both at once.
  void join(const std::vector<Spoke>& inner, const std::vector<Spoke>& outer) {
    const auto angle = [](const std::vector<Spoke>& s, std::size_t i) {
      return s[i % s.size()].angle + (i >= s.size() ? 2 * pi : 0);
    };
    std::size_t i = 0, o = 0;
    while (i < inner.size() || o < outer.size()) {
      const int in = inner[i % inner.size()].node, out = outer[o % outer.size()].node;
      if (i == inner.size() || (o < outer.size() && angle(outer, o + 1) <= angle(inner, i + 1)))
        disc_.mesh.triangles.push_back({in, out, outer[++o % outer.size()].node});
      else
        disc_.mesh.triangles.push_back({in, out, inner[++i % inner.size()].node});
    }
  }

  NodalField take() { return std::move(disc_); }

 private:
  double rotation(int k, double own) const { return own + 2 * pi * k / mesh_.sectors; }

  const Mesh& mesh_;
  int count_;
  std::vector<int> twin_;
  int hub_ = -1;
  NodalField disc_;
};

}  // namespace

int annulus_points(const Mesh& mesh) {
  const std::size_t nodes = std::max(mesh.gap[0].nodes.size(), mesh.gap[1].nodes.size());
  return std::max(180, static_cast<int>(nodes) * mesh.sectors);
}

NodalField disc_potential(const Mesh& mesh, std::span<const double> a, const GapField& gap, double rotor_angle) {
  DiscBuilder builder(mesh, a, rotor_angle);
  builder.add_elements();
  if (gap.harmonics.size() == 1) return builder.take();
  const bool rotor_inside = gap.rotor_radius < gap.stator_radius;
  std::vector<Spoke> inner = builder.trace(rotor_inside ? Side::rotor : Side::stator, rotor_angle);
  for (double share : {0.12, 0.37, 0.63, 0.88}) {
    const double r = gap.inner_radius() + share * (gap.outer_radius() - gap.inner_radius());
    std::vector<Spoke> next = builder.add_circle(sample_circle(gap, r, annulus_points(mesh)));
    builder.join(inner, next);
    inner = std::move(next);
  }
  builder.join(inner, builder.trace(rotor_inside ? Side::stator : Side::rotor, rotor_angle));
  return builder.take();
}

namespace {

using RegionNode = long long;
RegionNode region_node(int node, int region) {
  return static_cast<RegionNode>(region) << 32 | node;
}

// Mean of |B| over the elements of one region around a node; the sector's two edges count as one.
class NodeMeans {
 public:
  NodeMeans(const Mesh& mesh, std::span<const double> a, int first, int last)
      : mesh_(mesh), master_(mesh.nodes.size()) {
    for (std::size_t i = 0; i < master_.size(); ++i) master_[i] = static_cast<int>(i);
    for (const NodePair& pair : mesh.pairs) master_[static_cast<std::size_t>(pair.slave)] = pair.master;
    for (int t = first; t < last; ++t) {
      const ElementField b = element_flux_density(mesh, a, t);
      for (std::size_t i = 0; i < (mesh.order == 1 ? 3 : 6); ++i) {
        Mean& mean = means_[key(t, i)];
        mean.sum += std::hypot(b.x[i], b.y[i]), ++mean.count;
      }
    }
  }
  double at(int triangle, std::size_t corner) const {
    const Mean& mean = means_.at(key(triangle, corner));
    return mean.sum / mean.count;
  }

 private:
  struct Mean {
    double sum = 0;
    int count = 0;
  };
  RegionNode key(int triangle, std::size_t corner) const {
    const auto t = static_cast<std::size_t>(triangle);
    return region_node(master_[static_cast<std::size_t>(mesh_.triangles[t][corner])], mesh_.region[t]);
  }
  const Mesh& mesh_;
  std::vector<int> master_;
  std::unordered_map<RegionNode, Mean> means_;
};

}  // namespace

NodalField sector_flux_density(const Mesh& mesh, std::span<const double> a, Side side) {
  const int first = side == Side::stator ? 0 : mesh.stator_triangles;
  const int last = side == Side::stator ? mesh.stator_triangles : static_cast<int>(mesh.triangles.size());
  const NodeMeans means(mesh, a, first, last);
  std::unordered_map<RegionNode, int> ids;
  NodalField field;
  for (int t = first; t < last; ++t) {
    std::array<int, 6> own{};
    for (std::size_t i = 0; i < (mesh.order == 1 ? 3 : 6); ++i) {
      const int node = mesh.triangles[static_cast<std::size_t>(t)][i];
      const RegionNode key = region_node(node, mesh.region[static_cast<std::size_t>(t)]);
      const auto [it, fresh] = ids.try_emplace(key, static_cast<int>(field.values.size()));
      own[i] = it->second;
      if (!fresh) continue;
      field.mesh.nodes.push_back(mesh.nodes[static_cast<std::size_t>(node)]);
      field.values.push_back(means.at(t, i));
    }
    if (mesh.order == 1) field.mesh.triangles.push_back({own[0], own[1], own[2]});
    for (int q = 0; mesh.order == 2 && q < 4; ++q)
      field.mesh.triangles.push_back({own[static_cast<std::size_t>(parts[q][0])],
                                      own[static_cast<std::size_t>(parts[q][1])],
                                      own[static_cast<std::size_t>(parts[q][2])]});
  }
  return field;
}

NodalField annulus_flux_density(const GapField& gap, int points, int circles) {
  NodalField field;
  for (int c = 0; c < circles; ++c) {
    const double r = gap.inner_radius() + (gap.outer_radius() - gap.inner_radius()) * c / (circles - 1);
    const CircleSamples s = sample_circle(gap, r, points);
    for (int k = 0; k < points; ++k) {
      const double angle = 2 * pi * k / points;
      field.mesh.nodes.push_back({r * std::cos(angle), r * std::sin(angle)});
      field.values.push_back(
          std::hypot(s.b_radial[static_cast<std::size_t>(k)], s.b_tangential[static_cast<std::size_t>(k)]));
      if (c == 0) continue;
      const int in = (c - 1) * points + k, in_next = (c - 1) * points + (k + 1) % points;
      const int out = c * points + k, out_next = c * points + (k + 1) % points;
      field.mesh.triangles.push_back({in, out, out_next});
      field.mesh.triangles.push_back({in, out_next, in_next});
    }
  }
  return field;
}

}  // namespace polepitch
