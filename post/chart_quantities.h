// Names, units and definitions of the quantities of V-curves and capability charts.
#pragma once

#include "post/quantity_list.h"

namespace polepitch {

std::vector<QuantityDefinition> chart_quantities();

}  // namespace polepitch
