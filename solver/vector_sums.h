// Sums over vectors in parts that do not wait for one another; the order of adding is fixed.
#pragma once

#include <vector>

namespace polepitch {

double dot(const std::vector<double>& a, const std::vector<double>& b);
double norm(const std::vector<double>& v);

}  // namespace polepitch
