#include "solver/standstill_error.h"

#include <cmath>

#include "solver/element_tables.h"

namespace polepitch {
namespace {

/// ν and 2 dν/dB² with B of the state at one point.
struct Tangent {
  double nu = 0, slope = 0, bx = 0, by = 0;
  double form(double x, double y) const {
    const double along = bx * x + by * y;
    return nu * (x * x + y * y) + 2 * slope * along * along;
  }
};

Tangent tangent_at(const StaticField& field, const StaticSolution& state, int triangle, Barycentric at) {
  Tangent t;
  if (!state.a.empty()) {
    const StaticField::Vector b = field.flux_density(state, triangle, at.l1, at.l2);
    t.bx = b.x, t.by = b.y;
  }
  field.curve(field.mesh().region[triangle]).reluctivity(t.bx * t.bx + t.by * t.by, t.nu, t.slope);
  return t;
}

}  // namespace

void add_standstill_shares(const StaticField& field, const FluxRecovery& recovery, const StaticSolution& state,
                           const std::vector<std::complex<double>>& potential, std::vector<double>& share) {
  const Mesh& mesh = field.mesh();
  std::vector<double> error(share.size(), 0.0);
  double energy = 0;
  for (bool imaginary : {false, true}) {
    StaticSolution part;
    for (const std::complex<double>& a : potential) part.a.push_back(imaginary ? a.imag() : a.real());
    const FluxDefect defect = recovery.defect(part.a);
    for (size_t e = 0; e < share.size(); ++e) {
      const int triangle = static_cast<int>(e);
      for (size_t q = 0; q < kTriangleRule.size(); ++q) {
        const Barycentric at = kTriangleRule[q].at;
        const Tangent t = tangent_at(field, state, triangle, at);
        const StaticField::Vector b = field.flux_density(part, triangle, at.l1, at.l2);
        const double weight = kTriangleRule[q].weight * element_point(mesh, triangle, at).jacobian;
        energy += weight * t.form(b.x, b.y);
        error[e] += weight * t.form(defect[e][q].x, defect[e][q].y);
      }
    }
  }
  if (energy <= 0) return;
  for (size_t e = 0; e < share.size(); ++e) share[e] += error[e] / energy;
}

std::vector<double> skin_depths(const StaticField& field, const StaticSolution& state,
                                const std::vector<double>& conductivity, double omega) {
  const Mesh& mesh = field.mesh();
  std::vector<double> depths(mesh.triangles.size(), 0.0);
  for (size_t e = 0; e < depths.size(); ++e) {
    const double sigma = conductivity[mesh.region[e]];
    if (sigma == 0) continue;
    const Tangent t = tangent_at(field, state, static_cast<int>(e), {1.0 / 3, 1.0 / 3});
    const double along = t.nu + 2 * t.slope * (t.bx * t.bx + t.by * t.by);
    depths[e] = std::sqrt(2 * std::sqrt(t.nu * along) / (omega * sigma));  // δ² = 2/(ω μ σ)
  }
  return depths;
}

}  // namespace polepitch
