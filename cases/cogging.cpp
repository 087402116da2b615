#include "cases/cogging.h"

#include <fmt/format.h>

#include <numeric>

#include "cases/skew.h"
#include "cases/sweep.h"
#include "post/dq.h"
#include "post/torque.h"

namespace polepitch {
namespace {

constexpr double kDegree = pi / 180;

double cogging_period(const Section& section) {
  return 2 * pi / std::lcm(section.winding.slots, 2 * section.pole_pairs);
}

}  // namespace

bool rotor_has_source(const Section& section, double field_current) {
  for (const Region& r : section.regions)
    if (r.magnetisation.pattern != Magnetisation::Pattern::none) return true;
  return field_branch(section) >= 0 && field_current != 0;
}

bool has_cogging(const Section& section, double field_current, int count) {
  return count > 0 && section.winding.slots > 0 && rotor_has_source(section, field_current);
}

std::vector<Excitation> cogging_positions(const Section& section, const Load& load, int count) {
  Load quiet = load;
  quiet.current = quiet.bar_current = 0;
  quiet.phase_currents.clear();
  std::vector<Excitation> points;
  for (int k = 0; k < count; ++k)
    points.push_back(excite(section, quiet, load.rotor_angle + k * cogging_period(section) / count));
  return points;
}

void add_cogging(StudyContext& context, const Load& load, int count, StudyResult& result, double from, double to,
                 At at) {
  const Section& section = context.section;
  if (!has_cogging(section, load.field_current, count)) return;
  const std::vector<Excitation> points = cogging_positions(section, load, count);
  ResultCurve curve{context.name, "cogging", "Torque without stator current over one cogging period", {}, false};
  Column angle{"rotor_angle", "deg", {}}, torque{"torque", "N m", {}};
  for (const Excitation& point : points) angle.values.push_back(point.rotor_angle / kDegree);
  const std::vector<double> offsets = skew_offsets(context.kase);
  std::vector<double> slices(points.size() * offsets.size());
  sweep(
      context, in_slices(points, offsets), [&](const SolvedPoint& p) { slices[p.index] = p.field.torque(p.solution); },
      from, to);
  torque.values = over_slices(slices, offsets.size());
  if (at.empty()) {
    at.emplace_back("phase_current", "0 A");
    at.emplace_back("period", fmt::format("{:.6g} deg", cogging_period(section) / kDegree));
    if (field_branch(section) >= 0) at.emplace_back("field_current", fmt::format("{:.6g} A", load.field_current));
  }
  Recorder out(result, context.name, at, count);
  out.add("torque_cogging", mean_and_ripple(torque.values).ripple, "annulus harmonics");
  curve.columns = {angle, torque};
  result.results.curves.push_back(curve);
}

}  // namespace polepitch
