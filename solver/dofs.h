// From nodes to unknowns: fixed nodes (A = 0), slaves of the sector's edges (± master) and circles of one free
// constant.
#pragma once

#include <vector>

#include "geometry/mesh.h"

namespace polepitch {

struct Dofs {
  int unknowns = 0;
  std::vector<int> unknown;  // per node; −1: A = 0
  std::vector<double> sign;  // per node: A(node) = sign × x[unknown]

  template <class Vector>
  double value(const Vector& x, int node) const {
    return unknown[node] < 0 ? 0.0 : sign[node] * x[unknown[node]];
  }
};

/// `outer` holds on the stator's far circle, `inner` on the rotor's (where it has one).
Dofs number_unknowns(const Mesh& mesh, FarBoundary stator, FarBoundary rotor);

}  // namespace polepitch
