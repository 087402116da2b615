// Quantities of the characteristics of synchronous machines, a part of quantity_list().
#pragma once

#include "post/quantity_list.h"

namespace polepitch {

std::vector<QuantityDefinition> characteristic_quantities();
/// In ohm; each has its per-unit twin.
std::vector<QuantityDefinition> characteristic_reactances();

}  // namespace polepitch
