// The equations of a slipping machine's field (solver/cage_field.h): unknowns A of every slice, bar voltages and
// currents, ring currents, the windings' currents and the working wave on both gap circles; everything linear as
// entries, iron by its locus law.
#pragma once

#include <complex>
#include <memory>
#include <vector>

#include "solver/block_matrix.h"
#include "solver/cage_circuits.h"
#include "solver/cage_field.h"
#include "solver/field_system.h"
#include "solver/locus_law.h"

namespace polepitch {

struct MatrixEntry {
  int row, column;
  double value;
};

struct CircuitEntry {
  int row, column;
  std::complex<double> value;
};

struct CageSystem {
  using Complex = std::complex<double>;
  CageSystem(const Section& section, const Mesh& mesh, const Materials& materials, const CageEnds& ends,
             const SolverOptions& options, const CageOptions& cage);

  FieldSystem system;
  CageOptions cage;
  CageCircuits circuits;
  int per_slice = 0;         // unknowns of A
  int fields = 0, size = 0;  // unknowns of A in all slices; of all
  int voltage0 = 0, current0 = 0, ring0 = 0, phase[2] = {0, 0}, wave0 = 0;
  std::unique_ptr<BlockMatrix> matrix;
  std::vector<BlockMatrix::Block> still;   // linear elements, outside, the annulus's own blocks
  std::vector<BlockMatrix::Block> linear;  // the part of `matrix` that no saturation changes
  std::vector<int> scatter;                // 36 places an element and slice, −1 where fixed

  int slices() const { return static_cast<int>(cage.slices.size()); }
  int bars() const { return static_cast<int>(circuits.bars.size()); }
  bool wound() const { return circuits.winding[1].phases > 0; }
  int voltage(int slice, int bar) const { return voltage0 + slice * bars() + bar; }
  int wave(int slice, int side) const { return wave0 + 2 * slice + side; }
  const TraceFourier& trace(int side) const { return side == 0 ? system.annulus->stator() : system.annulus->rotor(); }

  void set_linear(const CageExcitation& e);
  /// Iron: its force added to `force`, its tangent to the matrix.
  void add_elements(const std::vector<Complex>& x, std::vector<Complex>& force);
  /// Mean over the slices, whole machine [N m].
  double torque(const CageExcitation& e, const std::vector<Complex>& x) const;
  /// From a unit of a phase's mean linkage in the sector to the whole machine's [m].
  double share(int side) const;
  bool all_harmonics() const { return cage.coupling == GapCoupling::all_harmonics; }
  Eigen::Index working() const;  // row of the working order in the annulus' orders

 private:
  std::vector<MatrixEntry> stiffness() const;
  void build_pattern();
  void add_tangent(int slice, size_t element, const ElementTable::Point& p, const LocusLaw& law);
  std::vector<CircuitEntry> entries(const CageExcitation& e) const;
  void add_bars(const CageExcitation& e, std::vector<CircuitEntry>& out) const;
  void add_rings(const CageExcitation& e, std::vector<CircuitEntry>& out) const;
  void add_windings(const CageExcitation& e, std::vector<CircuitEntry>& out) const;
  void add_waves(std::vector<CircuitEntry>& out) const;
  void add_crossing(const CageExcitation& e, std::vector<CircuitEntry>& out) const;
  Eigen::VectorXd smooth(int side) const;
};

}  // namespace polepitch
