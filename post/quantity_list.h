// The catalogue of quantities: name, unit and definition stand once, here, for `polepitch list quantities`, the docs
// and every Quantity in summary.json.
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "post/results.h"

namespace polepitch {

struct QuantityDefinition {
  std::string name;        // snake_case with the trade's symbols: "torque_mean", "X_d_apparent"
  std::string unit;        // "N m"; "" for pure numbers
  std::string definition;  // one sentence, ends with a full stop
};

const std::vector<QuantityDefinition>& quantity_list();

/// Throws std::logic_error for a name that the list lacks (a bug here, not the user's).
const QuantityDefinition& quantity_definition(std::string_view name);

/// A Quantity with unit and definition filled in from the list.
Quantity quantity(std::string_view name, double value, std::string method);

}  // namespace polepitch
