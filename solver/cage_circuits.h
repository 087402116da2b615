// The conductors of a machine that slips: bars joined by rings, solid parts, and the balanced windings of both sides,
// as integrals over the mesh and as networks (solver/cage_field.h).
#pragma once

#include <complex>
#include <map>
#include <vector>

#include "solver/bar_integrals.h"
#include "solver/cage_field.h"
#include "solver/field_system.h"

namespace polepitch {

/// A pair of end rings: the bars at each of its nodes, by angle; bars of one node are in parallel.
struct RingNetwork {
  RingSegment segment;
  std::vector<std::vector<int>> nodes;
};

/// A winding that carries a positive sequence: its source for 1 A of the first phase with its fellows.
struct BalancedWinding {
  std::map<int, std::complex<double>> source;
  int phases = 0;
};

struct CageCircuits {
  std::vector<BarIntegrals> bars;     // in the order of their branches
  std::vector<RingSegment> overhang;  // of each bar, both ends
  std::vector<BarIntegrals> solids;   // parts in which currents close on themselves round the axis
  std::vector<RingNetwork> networks;
  BalancedWinding winding[2];  // [Side]

  int ring_nodes() const;
};

/// Solid parts are taken where the rotor has neither bars nor winding. Throws InputError for bars without conductivity.
CageCircuits read_circuits(const FieldSystem& system, const Materials& materials, const CageEnds& ends);

}  // namespace polepitch
