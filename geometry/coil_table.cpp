#include "geometry/coil_table.h"

#include <cstdlib>

#include <fmt/format.h>

namespace polepitch {

namespace {

/// Fault of one row on its own, or "".
std::string row_fault(const std::vector<int>& row, const WindingLayout& layout) {
  if (row.size() != 3) return fmt::format("has {} numbers instead of 3", row.size());
  for (int i : {0, 1})
    if (row[i] < 1 || row[i] > layout.slots)
      return fmt::format("names slot {}, allowed are 1 to {}", row[i], layout.slots);
  if (row[0] == row[1]) return fmt::format("has both sides in slot {}", row[0]);
  if (row[2] == 0 || std::abs(row[2]) > layout.phases)
    return fmt::format("names phase {}, allowed are 1 to {} and, reversed, -1 to -{}", row[2], layout.phases,
                       layout.phases);
  return "";
}

}  // namespace

void read_coil_table(const IntegerTable& rows, const Place& place, WindingLayout& layout,
                     std::vector<Diagnostic>& diagnostics) {
  std::vector<bool> taken(static_cast<size_t>(layout.slots) * layout.layers, false);
  const auto put = [&](int slot, int wanted, int phase, int sign, int coil) {
    for (int layer : {wanted, layout.layers - 1 - wanted}) {
      const size_t cell = static_cast<size_t>(slot) * layout.layers + layer;
      if (taken[cell]) continue;
      taken[cell] = true;
      layout.sides.push_back({slot, layer, phase, sign, coil});
      return;
    }
    diagnostics.push_back({place,
                           fmt::format("row {} of coils puts a further coil side into slot {}, which holds {}",
                                       coil + 1, slot + 1, layout.layers),
                           "each slot takes one coil side per layer"});
  };
  for (int coil = 0; coil < static_cast<int>(rows.size()); ++coil) {
    const std::vector<int>& row = rows[coil];
    const std::string fault = row_fault(row, layout);
    if (!fault.empty()) {
      diagnostics.push_back({place, fmt::format("row {} of coils {}", coil + 1, fault),
                             "a row is [from_slot, to_slot, phase]; slots count from 1"});
      continue;
    }
    const int phase = std::abs(row[2]) - 1, sign = row[2] > 0 ? 1 : -1;
    put(row[0] - 1, layout.layers - 1, phase, sign, coil);
    put(row[1] - 1, 0, phase, -sign, coil);
  }
}

}  // namespace polepitch
