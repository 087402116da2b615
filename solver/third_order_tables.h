// Third-order elements on top of the second-order ones of a mesh: beside the six shapes of a triangle one bubble along
// each edge, odd about its middle, and one inside. All four vanish at the nodes, so that nodal values stay what they
// are. Computed once a mesh.
#pragma once

#include <array>
#include <vector>

#include "solver/field_system.h"

namespace polepitch {

inline constexpr int kThirdShapes = 10;  // six of second order, edges 0–1, 1–2, 2–0, inside
inline constexpr int kThirdPoints = 12;  // degree 6 (D. A. Dunavant, Int. J. Numer. Methods Eng. 21, 1985)

struct ThirdOrderElement {
  int unknown[kThirdShapes];  // of the system, then bubbles, which count on from the system's; −1: none
  double sign[kThirdShapes];  // of slaves and edges' directions, 0 where there is no unknown
};

const std::array<QuadraturePoint, kThirdPoints>& third_order_rule();

/// Value and derivatives in l1 and l2 of the four bubbles at a point of the reference triangle.
struct BubbleValues {
  std::array<double, 4> value, d1, d2;
};
BubbleValues bubble_values(Barycentric at);

struct ThirdOrderTables {
  explicit ThirdOrderTables(const FieldSystem& system);

  const FieldSystem& system;
  int size = 0;  // the system's unknowns, the edges' bubbles, those inside
  int kept = 0;  // without those inside, which come last
  std::vector<ThirdOrderElement> elements;
  std::vector<SparseVector> branch;  // of bubbles alone: as FieldSystem::branch
  std::vector<SparseVector> region;  // of bubbles alone: ∫φ/area, per region
  SparseVector magnets;              // of bubbles alone: ∫ ν B_rem · curl φ
  TraceFourier gap[2], outside;      // of bubbles alone, in the circle's order; `outside` empty without one
  TraceFourier outside_second;       // of the system's unknowns
  std::vector<int> outside_orders;

 private:
  void number_bubbles();
  void integrate_shapes();
  TraceFourier trace_bubbles(const TraceCircle& circle, const std::vector<int>& orders) const;
  /// Bubble of the edge whose middle is `mid`, −1 where A is fixed along it; its sign from corner a to corner b.
  int edge_bubble(int mid, int a, int b, double& sign) const;
  std::vector<int> bubble_of_;  // per unknown of the system: the edge whose middle it is; −1: no middle
};

}  // namespace polepitch
