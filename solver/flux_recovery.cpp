#include "solver/flux_recovery.h"

#include <Eigen/Dense>
#include <algorithm>
#include <cmath>
#include <map>

#include "solver/element_tables.h"

namespace polepitch {
namespace {

// Gauss points of degree 2: the quadratic element's flux density is most accurate near them.
constexpr std::array<Barycentric, 3> kSamples = {{{1.0 / 6, 1.0 / 6}, {2.0 / 3, 1.0 / 6}, {1.0 / 6, 2.0 / 3}}};
constexpr size_t kFullFit = 4;    // triangles for a quadratic fit
constexpr size_t kLinearFit = 2;  // and for a linear one; a lone triangle keeps its own (linear) flux density

std::array<double, 6> monomials(const Point& centre, double scale, double x, double y) {
  const double u = (x - centre.x) / scale, v = (y - centre.y) / scale;
  return {1, u, v, u * u, u * v, v * v};
}

Point flux_density_at(const Mesh& mesh, const std::vector<double>& nodal, int triangle, const ElementPoint& p) {
  Point b;
  const int count = mesh.order == 2 ? 6 : 3;
  for (int i = 0; i < count; ++i) {
    const double a = nodal[mesh.triangles[triangle][i]];
    b.x += a * p.dy[i];
    b.y -= a * p.dx[i];
  }
  return b;
}

}  // namespace

FluxRecovery::FluxRecovery(const Mesh& mesh) : mesh_(mesh), patch_(mesh.triangles.size()) {
  std::map<std::pair<int, int>, int> number;  // (node, region) → patch
  for (size_t e = 0; e < mesh.triangles.size(); ++e)
    for (int i = 0; i < 3; ++i) {
      const auto [it, fresh] =
          number.try_emplace({mesh.triangles[e][i], mesh.region[e]}, static_cast<int>(around_.size()));
      if (fresh) {
        around_.emplace_back();
        patches_.emplace_back().centre = mesh.nodes[mesh.triangles[e][i]];
      }
      around_[it->second].push_back(static_cast<int>(e));
      patch_[e][i] = it->second;
    }
  for (size_t e = 0; e < mesh.triangles.size(); ++e)
    for (const Barycentric& at : kSamples) {
      const ElementPoint p = element_point(mesh, static_cast<int>(e), at);
      sample_at_.push_back({p.x, p.y});
    }
  for (size_t k = 0; k < patches_.size(); ++k) {
    for (int e : patch_triangles(static_cast<int>(k)))
      for (int s = 0; s < 3; ++s) patches_[k].samples.push_back(3 * e + s);
    fit(patches_[k]);
  }
}

/// The triangles round the node; at a border with few of them, their neighbours of the same region as well.
std::vector<int> FluxRecovery::patch_triangles(int patch) const {
  std::vector<int> found = around_[patch];
  if (found.size() >= kFullFit) return found;
  std::vector<int> more = found;
  for (int e : found)
    for (int corner : patch_[e]) more.insert(more.end(), around_[corner].begin(), around_[corner].end());
  std::sort(more.begin(), more.end());
  more.erase(std::unique(more.begin(), more.end()), more.end());
  return more;
}

void FluxRecovery::fit(Patch& patch) const {
  const auto count = static_cast<Eigen::Index>(patch.samples.size());
  patch.terms = patch.samples.size() >= 3 * kFullFit ? 6 : 3;
  if (patch.samples.size() < 3 * kLinearFit) patch.terms = 3;
  patch.scale = 0;
  for (int s : patch.samples)
    patch.scale = std::max(patch.scale, std::hypot(sample_at_[s].x - patch.centre.x, sample_at_[s].y - patch.centre.y));
  Eigen::MatrixXd v(count, patch.terms);
  for (Eigen::Index r = 0; r < count; ++r) {
    const Point& p = sample_at_[patch.samples[static_cast<size_t>(r)]];
    const auto m = monomials(patch.centre, patch.scale, p.x, p.y);
    for (int c = 0; c < patch.terms; ++c) v(r, c) = m[static_cast<size_t>(c)];
  }
  const Eigen::MatrixXd inverse = v.completeOrthogonalDecomposition().pseudoInverse();
  patch.solve.resize(static_cast<size_t>(inverse.size()));
  for (Eigen::Index t = 0; t < inverse.rows(); ++t)
    for (Eigen::Index s = 0; s < count; ++s) patch.solve[static_cast<size_t>(t * count + s)] = inverse(t, s);
}

FluxDefect FluxRecovery::defect(const std::vector<double>& nodal) const {
  std::vector<Point> sample(sample_at_.size());
  for (size_t s = 0; s < sample.size(); ++s) {
    const int e = static_cast<int>(s / 3);
    sample[s] = flux_density_at(mesh_, nodal, e, element_point(mesh_, e, kSamples[s % 3]));
  }
  std::vector<std::array<Point, 6>> coefficients(patches_.size());
  for (size_t k = 0; k < patches_.size(); ++k) {
    const Patch& patch = patches_[k];
    const size_t count = patch.samples.size();
    for (int t = 0; t < patch.terms; ++t)
      for (size_t s = 0; s < count; ++s) {
        const double w = patch.solve[static_cast<size_t>(t) * count + s];
        coefficients[k][static_cast<size_t>(t)].x += w * sample[static_cast<size_t>(patch.samples[s])].x;
        coefficients[k][static_cast<size_t>(t)].y += w * sample[static_cast<size_t>(patch.samples[s])].y;
      }
  }
  FluxDefect defect(mesh_.triangles.size());
  for (size_t e = 0; e < defect.size(); ++e)
    for (size_t q = 0; q < kTriangleRule.size(); ++q) {
      const Barycentric at = kTriangleRule[q].at;
      const ElementPoint p = element_point(mesh_, static_cast<int>(e), at);
      const double blend[3] = {1 - at.l1 - at.l2, at.l1, at.l2};
      const Point computed = flux_density_at(mesh_, nodal, static_cast<int>(e), p);
      Point d = {-computed.x, -computed.y};
      for (int i = 0; i < 3; ++i) {
        const Patch& patch = patches_[patch_[e][i]];
        const auto m = monomials(patch.centre, patch.scale, p.x, p.y);
        for (int t = 0; t < patch.terms; ++t) {
          const Point& c = coefficients[patch_[e][i]][static_cast<size_t>(t)];
          d.x += blend[i] * m[static_cast<size_t>(t)] * c.x;
          d.y += blend[i] * m[static_cast<size_t>(t)] * c.y;
        }
      }
      defect[e][q] = d;
    }
  return defect;
}

std::vector<double> error_shares(const Mesh& mesh,
                                 const std::vector<std::array<double, kTriangleRule.size()>>& reluctivity,
                                 const FluxDefect& first, const FluxDefect& second) {
  std::vector<double> share(mesh.triangles.size(), 0.0);
  for (size_t e = 0; e < share.size(); ++e)
    for (size_t q = 0; q < kTriangleRule.size(); ++q) {
      const ElementPoint p = element_point(mesh, static_cast<int>(e), kTriangleRule[q].at);
      share[e] += kTriangleRule[q].weight * p.jacobian * reluctivity[e][q] *
                  (first[e][q].x * second[e][q].x + first[e][q].y * second[e][q].y);
    }
  return share;
}

}  // namespace polepitch
