// Names, units and definitions of transient parameters of synchronous machines, whatever test or study finds them; a
// part of quantity_list().
#pragma once

#include "post/quantity_list.h"

namespace polepitch {

std::vector<QuantityDefinition> response_quantities();
/// In ohm; each has its per-unit twin.
std::vector<QuantityDefinition> response_reactances();

}  // namespace polepitch
