// Errors that follow from those of other quantities of the same operating point (docs/theory.md, "Error").
#pragma once

#include <vector>

#include "post/results.h"

namespace polepitch {

/// Raises the errors of the quantities that are computed from others, or checked by them, to what theirs make of them;
/// never lowers one. All have their own already.
void follow_leaders(std::vector<Quantity>& quantities);

/// √(X_d X_q) of the mutual reactance X_dq or X_qd at the same operating point [in its unit]; 0 of any other quantity.
double scale_of_mutual(const Quantity& q, const std::vector<Quantity>& quantities);

/// Where "dq" or "qd" stands in "X_dq_apparent", "x_qd_incremental"; npos in others.
size_t mutual_at(const std::string& name);

}  // namespace polepitch
