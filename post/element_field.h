// Flux density at the nodes of one element, from nodal A: B = (∂A/∂y, −∂A/∂x), on the isoparametric geometry.
#pragma once

#include <array>
#include <span>

#include "geometry/mesh.h"

namespace polepitch {

struct ElementField {
  std::array<double, 6> x{}, y{};  // T, per node; entries 3–5 unused in first order
};

/// `a`: Wb/m, one per mesh node. In the side's own frame; discontinuous between elements.
ElementField element_flux_density(const Mesh& mesh, std::span<const double> a, int triangle);

}  // namespace polepitch
