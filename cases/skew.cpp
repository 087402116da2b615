#include "cases/skew.h"

#include <cmath>

namespace polepitch {

std::vector<double> skew_offsets(const Case& kase) {
  const Values& general = kase.machine.general.values;
  const double skew = general.number("skew");
  if (skew == 0) return {0};
  const int count = general.integer("skew_slices");
  std::vector<double> offsets;
  for (int k = 0; k < count; ++k) offsets.push_back(std::abs(skew) * ((k + 0.5) / count - 0.5));
  return offsets;
}

std::vector<Excitation> in_slices(const std::vector<Excitation>& points, const std::vector<double>& offsets) {
  std::vector<Excitation> slices;
  for (const Excitation& point : points)
    for (double offset : offsets) {
      slices.push_back(point);
      slices.back().rotor_angle += offset;
    }
  return slices;
}

std::vector<double> over_slices(const std::vector<double>& slices, size_t each) {
  std::vector<double> means(slices.size() / each);
  for (size_t i = 0; i < slices.size(); ++i) means[i / each] += slices[i] / static_cast<double>(each);
  return means;
}

void warn_without_skew(const StudyContext& context, StudyResult& result) {
  if (skew_offsets(context.kase).size() > 1)
    result.results.warnings.push_back(
        context.name +
        ": this study leaves machine.skew out of account: its numbers are those of a machine "
        "without skew");
}

}  // namespace polepitch
