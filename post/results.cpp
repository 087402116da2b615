#include "post/results.h"

#include <fmt/format.h>

#include <cmath>

namespace polepitch {

std::string error_text(double error) {
  return fmt::format("± {:g}", std::stod(fmt::format("{:.0e}", error)));
}

ShownNumber shown_number(const Quantity& q) {
  const auto decade = [](double x) { return std::pow(10, std::floor(std::log10(std::abs(x)))); };
  ShownNumber shown{fmt::format("{:.5g}", q.value), "", ""};
  double last = q.value != 0 ? 1e-4 * decade(q.value) : 0;  // what the last digit stands for
  if (q.error && *q.error > std::abs(q.value)) {
    last = decade(*q.error);
    shown.value = fmt::format("{:g}", last * std::round(q.value / last) + 0.0);
  }
  if (q.error && *q.error >= 0.5 * last) shown.error = error_text(*q.error);
  if (q.ripple && *q.ripple >= 0.5 * last) shown.ripple = fmt::format("{:.3g}", *q.ripple);
  return shown;
}

}  // namespace polepitch
