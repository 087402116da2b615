// A field of one mesh on the nodes of another of the same section: where an iteration starts on a finer mesh.
#pragma once

#include <vector>

#include "geometry/mesh.h"

namespace polepitch {

class CarryOver {
 public:
  /// Finds every node of `to` in `from`; keeps a reference to `from`.
  CarryOver(const Section& section, const Mesh& from, const Mesh& to);
  /// Nodal values of `to` from those of `from`.
  std::vector<double> operator()(const std::vector<double>& nodal) const;

 private:
  struct Place {
    int triangle;
    double l1, l2, sign;
  };
  const Mesh& from_;
  std::vector<Place> places_;
};

}  // namespace polepitch
