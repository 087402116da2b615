#include "post/usual_ranges.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>

namespace polepitch {
namespace {

struct Range {
  const char* name;  // of the per-unit quantity
  double low, high;
};

constexpr std::array kThermal = {Range{"x_d_unsaturated", 1.0, 2.3}, Range{"x_d_apparent", 1.0, 2.3},
                                 Range{"x_q_apparent", 1.0, 2.3}, Range{"x_d_transient", 0.15, 0.4},
                                 Range{"x_d_subtransient", 0.12, 0.25}};
constexpr std::array kHydro = {Range{"x_d_unsaturated", 0.6, 1.5}, Range{"x_d_apparent", 0.6, 1.5},
                               Range{"x_q_apparent", 0.4, 1.0}, Range{"x_d_transient", 0.2, 0.5},
                               Range{"x_d_subtransient", 0.15, 0.35}};

template <class Ranges>
std::vector<std::string> outside(const Ranges& ranges, const std::string& kind,
                                 const std::vector<Quantity>& quantities) {
  std::vector<std::string> remarks;
  for (const Range& range : ranges) {
    const auto q = std::find_if(quantities.begin(), quantities.end(), [&](const Quantity& candidate) {
      return candidate.name == range.name && (candidate.value < range.low || candidate.value > range.high);
    });
    if (q == quantities.end()) continue;
    remarks.push_back(
        fmt::format("{}: {} = {:.3g} per unit is outside what is usual of {} above 100 kVA, {:g} to {:g} "
                    "(Kundur, Power System Stability and Control; memory)",
                    q->study, range.name, q->value, kind, range.low, range.high));
  }
  return remarks;
}

}  // namespace

std::vector<std::string> unusual_reactances(const std::string& rotor_type, double rated_power,
                                            const std::vector<Quantity>& quantities) {
  if (rated_power < kUsualFrom) return {};
  if (rotor_type == "cylindrical") return outside(kThermal, "cylindrical rotors", quantities);
  if (rotor_type == "salient-pole") return outside(kHydro, "salient poles", quantities);
  return {};
}

}  // namespace polepitch
