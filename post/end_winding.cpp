#include "post/end_winding.h"

#include <algorithm>
#include <cmath>
#include <cstdlib>
#include <map>

#include "solver/bh_curve.h"

namespace polepitch {

double mean_coil_span(const WindingLayout& layout) {
  std::map<int, int> first_side;
  double sum = 0;
  int coils = 0;
  for (const CoilSide& side : layout.sides) {
    const auto [other, is_first] = first_side.emplace(side.coil, side.slot);
    if (is_first) continue;
    const int apart = std::abs(side.slot - other->second);
    sum += std::min(apart, layout.slots - apart);
    ++coils;
  }
  return coils == 0 ? 0 : sum / coils;
}

EndTurn end_turn(const WindingLayout& layout, double radius, const Block& winding) {
  const Values& v = winding.values;
  const double slots = mean_coil_span(layout);
  EndTurn end;
  end.span = 2 * pi * radius * slots / layout.slots;
  if (v.has("overhang") || v.has("end_height")) {
    const double straight = v.has("overhang") ? v.number("overhang") : 0;
    const double height = v.has("end_height") ? v.number("end_height") : 0;
    end.axial = straight + height;
    end.length = 2 * straight + 2 * std::hypot(end.span / 2, height);
    end.method = "overhang and end height as given";
    return end;
  }
  const bool tooth_coil = slots < 1.5;
  end.length = tooth_coil ? pi / 2 * end.span : 1.2 * end.span + 0.05;
  end.axial = (end.length - end.span) / 2;
  end.method =
      tooth_coil ? "half circle over the span (common practice)" : "1.2 x span + 50 mm (Pyrhonen, Jokinen, Hrabovcova)";
  return end;
}

double end_winding_inductance(const WindingLayout& layout, const EndTurn& end, const EndPermeance& permeance) {
  const double n = layout.turns_in_series();
  return 2.0 / layout.pole_pairs * n * n * mu0 * (2 * end.axial * permeance.axial + end.span * permeance.span);
}

std::string end_winding_method() {
  return "coil-end permeances 0.50 and 0.20 (Pyrhonen, Jokinen, Hrabovcova, Design of Rotating Electrical Machines)";
}

}  // namespace polepitch
