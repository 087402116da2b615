#include "solver/dofs.h"

namespace polepitch {
namespace {

constexpr int kFree = -2, kFixed = -1;

}  // namespace

Dofs number_unknowns(const Mesh& mesh, FarBoundary stator, FarBoundary rotor) {
  const size_t n = mesh.nodes.size();
  Dofs dofs;
  dofs.unknown.assign(n, kFree);
  dofs.sign.assign(n, 1.0);

  std::vector<int> leader(n);  // the node that stands for this one
  for (size_t i = 0; i < n; ++i) leader[i] = static_cast<int>(i);
  for (const NodePair& p : mesh.pairs) {
    leader[p.slave] = p.master;
    dofs.sign[p.slave] = mesh.sign;
    if (p.slave == p.master) {  // the machine's axis lies on both edges
      dofs.sign[p.slave] = 1;
      if (mesh.sign < 0) dofs.unknown[p.slave] = kFixed;
    }
  }
  const FarBoundary boundary[2] = {stator, rotor};
  for (int side = 0; side < 2; ++side) {
    const std::vector<int>& circle = mesh.far[side].nodes;
    if (circle.empty()) continue;
    const bool one_constant = boundary[side] == FarBoundary::floating && mesh.sign > 0;
    if (boundary[side] == FarBoundary::zero || (boundary[side] == FarBoundary::floating && !one_constant))
      for (int node : circle) dofs.unknown[node] = kFixed;
    if (one_constant)
      for (int node : circle) leader[node] = circle.front();
  }
  for (size_t i = 0; i < n; ++i)
    if (leader[i] == static_cast<int>(i) && dofs.unknown[i] == kFree) dofs.unknown[i] = dofs.unknowns++;
  for (size_t i = 0; i < n; ++i)
    if (leader[i] != static_cast<int>(i)) {
      int node = leader[i];
      while (leader[node] != node) node = leader[node];
      dofs.unknown[i] = dofs.unknown[node] == kFree ? kFixed : dofs.unknown[node];
    }
  return dofs;
}

}  // namespace polepitch
