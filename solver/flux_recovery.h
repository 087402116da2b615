// Recovered flux density: around each node a polynomial is fitted to the flux densities of its triangles, region by
// region, and the triangles blend the polynomials of their corners. What it differs by from the computed one is an
// estimate of the discretisation's error (O. C. Zienkiewicz and J. Z. Zhu, Int. J. Numer. Methods Eng. 33, 1992,
// 1331–1364: published). Linear in the nodal values: a complex field is recovered part by part.
#pragma once

#include <array>
#include <vector>

#include "geometry/mesh.h"
#include "solver/triangle.h"

namespace polepitch {

/// Recovered minus computed flux density [T] at the quadrature points of every triangle.
using FluxDefect = std::vector<std::array<Point, kTriangleRule.size()>>;

class FluxRecovery {
 public:
  /// Keeps a reference to `mesh` (second order).
  explicit FluxRecovery(const Mesh& mesh);
  /// `nodal` [Wb/m], one per node: a solution, or a change of one.
  FluxDefect defect(const std::vector<double>& nodal) const;

 private:
  struct Patch {
    Point centre;
    double scale = 1;           // m
    int terms = 1;              // of the polynomial: 6, 3 or 1
    std::vector<int> samples;   // 3 × triangle + point
    std::vector<double> solve;  // terms × samples: from samples to coefficients, rows by term
  };
  void fit(Patch& patch) const;
  std::vector<int> patch_triangles(int patch) const;

  const Mesh& mesh_;
  std::vector<Point> sample_at_;           // 3 a triangle
  std::vector<std::array<int, 3>> patch_;  // of each triangle's corners
  std::vector<std::vector<int>> around_;   // triangles of one region round a node, per patch
  std::vector<Patch> patches_;
};

/// Share of each triangle in Σ ∫ ν d₁·d₂ dA [J/m]: with a solution's defect twice, its energy error; with the defect of
/// a quantity's sensitivity, that quantity's error. `reluctivity` at the quadrature points of every triangle.
std::vector<double> error_shares(const Mesh& mesh,
                                 const std::vector<std::array<double, kTriangleRule.size()>>& reluctivity,
                                 const FluxDefect& first, const FluxDefect& second);

}  // namespace polepitch
