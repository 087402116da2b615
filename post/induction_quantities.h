// Quantities of induction machines' tests and circuits.
#pragma once

#include "post/quantity_list.h"

namespace polepitch {

std::vector<QuantityDefinition> induction_quantities();

}  // namespace polepitch
