// Part of the catalogue of quantities: fields stepped in time.
#pragma once

#include "post/quantity_list.h"

namespace polepitch {

std::vector<QuantityDefinition> stepping_quantities();

}  // namespace polepitch
