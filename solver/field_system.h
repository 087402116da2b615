// The discrete system of one mesh: unknowns, fixed sparse pattern, everything linear assembled once (air, conductors,
// magnets, outside), the annulus by angle, and tables of the nonlinear elements. Shared by the static solver and those
// to come.
#pragma once

#include <map>
#include <memory>
#include <vector>

#include "solver/annulus.h"
#include "solver/element_packs.h"
#include "solver/material.h"
#include "solver/sparse_cholesky.h"
#include "solver/static_field.h"

namespace polepitch {

struct SparseVector {
  std::vector<int> index;
  std::vector<double> value;
  double dot(const std::vector<double>& x) const {
    double sum = 0;
    for (size_t k = 0; k < index.size(); ++k) sum += value[k] * x[index[k]];
    return sum;
  }
  void add_to(std::vector<double>& y, double scale) const {
    for (size_t k = 0; k < index.size(); ++k) y[index[k]] += scale * value[k];
  }
};

SparseVector compress(const std::map<int, double>& entries);

using IronPack = ElementPack<6, kQuad>;
using IronSlopes = ReferenceSlopes<6, kQuad>;

struct FieldSystem {
  FieldSystem(const Section& section, const Mesh& mesh, const Materials& materials, const SolverOptions& options);

  const Section& section;
  const Mesh& mesh;
  SolverOptions options;
  std::vector<BhCurve> curves;    // per region
  std::vector<double> remanence;  // per region [T]
  std::vector<double> area;       // per region, of the mesh [m2]
  Dofs dofs;
  std::unique_ptr<Annulus> annulus;
  LowerPattern pattern;               // elements and outside: none between the sides
  std::vector<double> linear;         // values: linear elements and outside, without the gap
  ElementTable nonlinear;             // elements whose reluctivity depends on B
  std::vector<int> nonlinear_region;  // per nonlinear element
  IronSlopes iron_slopes;
  std::vector<IronPack> iron;        // the nonlinear elements four side by side
  std::vector<int> scatter;          // 21 positions a nonlinear element (lower triangle by rows), −1 where fixed
  std::vector<int> doubled;          // scatter slots whose two unknowns coincide (added twice)
  std::vector<SparseVector> branch;  // ∂(J·A)/∂i of one sector: Σ turns/area ∫φ, per branch
  SparseVector magnets;              // ∫ ν B_rem · curl φ
  double magnet_energy = 0;          // ½ ν B_rem² of one sector [J/m]

  int size() const { return dofs.unknowns; }
  /// y += (linear elements and annulus at the angle of `turn`) x.
  void add_linear_force(const GapTurn& turn, const std::vector<double>& x, std::vector<double>& y) const;
  std::vector<double> gather(const std::vector<double>& nodal) const;
  std::vector<double> expand(const std::vector<double>& x) const;
  std::vector<double> source(const Excitation& excitation) const;
  /// Orders of the unbounded outside, where the section has one.
  std::vector<int> outside_orders() const;
  Barycentric quadrature_at(int q) const { return kTriangleRule[q].at; }

 private:
  void read_materials(const Materials& materials);
  void build_pattern_and_gap();
  void assemble_linear();
  void assemble_sources();
  void build_scatter();
  void pack_iron();
};

/// Remanence vector [T] of a magnet region at a point of its side's frame.
Point remanence_vector(const Region& region, double remanence, double x, double y);

}  // namespace polepitch
