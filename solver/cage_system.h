// The equations of a cage field (solver/cage_field.h): unknowns A, bar voltages, ring currents, the winding's current
// and the working wave on both gap circles; everything linear as entries, iron by its locus law.
#pragma once

#include <complex>
#include <map>
#include <memory>
#include <vector>

#include "solver/bar_integrals.h"
#include "solver/block_matrix.h"
#include "solver/cage_field.h"
#include "solver/field_system.h"
#include "solver/locus_law.h"

namespace polepitch {

struct MatrixEntry {
  int row, column;
  double value;
};

struct CageSystem {
  using Complex = std::complex<double>;
  CageSystem(const Section& section, const Mesh& mesh, const Materials& materials, const RingSegment& segment,
             const SolverOptions& options);

  FieldSystem system;
  RingSegment ring;
  std::vector<BarIntegrals> bars;
  std::vector<MatrixEntry> stiffness;  // linear elements, outside, both sides' smooth surfaces
  std::map<int, Complex> winding;      // source of 1 A of phase A with its fellows
  int phases = 0;
  int fields = 0, size = 0;  // unknowns of A; of all
  int bar0 = 0, ring0 = 0, phase = 0, wave0 = 0;
  std::unique_ptr<BlockMatrix> matrix;
  std::vector<BlockMatrix::Block> linear;  // the part of `matrix` that no saturation changes
  std::vector<int> scatter;                // 36 places an element, −1 where fixed
  Complex to_stator;                       // of the forward wave
  double own[2] = {0, 0};

  void set_linear(const CageExcitation& e);
  /// Iron: its force added to `force`, or its tangent to the matrix.
  void add_elements(const std::vector<Complex>& x, std::vector<Complex>* force, bool tangent);

 private:
  void add_tangent(size_t element, const ElementTable::Point& p, const LocusLaw& law);
  void read_winding();
  void read_stiffness();
  void build_pattern();
  const TraceFourier& trace(int side) const { return side == 0 ? system.annulus->outer() : system.annulus->inner(); }
  Eigen::VectorXd smooth(int side) const;
  Eigen::Index working() const;
  template <class Visit>
  void visit_circuits(const CageExcitation& e, Visit visit) const;
};

}  // namespace polepitch
