// Part of the catalogue of quantities: flux maps, iron loss, operation between limits.
#pragma once

#include "post/quantity_list.h"

namespace polepitch {

std::vector<QuantityDefinition> map_quantities();

}  // namespace polepitch
