#include "cases/operating_chart.h"

#include <algorithm>
#include <string>

#include "cases/study_tools.h"

namespace polepitch {
namespace {

const std::vector<std::string> kKeys = {"operation", "voltage", "largest_field_current", "phase_resistance",
                                        "positions"};

/// The study's values with those of a load point that a chart does not state, at the rated power factor.
Block as_load_point(const Block& study) {
  Block block = study;
  for (const Parameter& p : load_point_parameters())
    if (p.name == "excitation") block.values.set(p.name, {std::string("over-excited"), study.place, false});
  return block;
}

}  // namespace

std::vector<Parameter> chart_parameters() {
  std::vector<Parameter> list;
  for (Parameter& p : load_point_parameters()) {
    if (std::find(kKeys.begin(), kKeys.end(), p.name) == kKeys.end()) continue;
    if (p.name == "positions") p.fallback = "6";
    if (p.name == "largest_field_current") p.sentence = "Field current that must not be passed.";
    list.push_back(p);
  }
  return list;
}

ChartRequest read_chart(const Case& kase, const Section& section, const Block& study) {
  ChartRequest request;
  request.at = read_load_point(kase, section, as_load_point(study));
  if (field_branch(section) < 0)
    throw InputError("a " + study.type + " study needs a field winding, whose current it varies",
                     "take a rotor with field winding; load-angle and load-point serve the others", study.place);
  const PerUnitBase base = per_unit_base(kase.machine);
  request.rated_power_factor = kase.machine.rating.values.number("power_factor");
  request.rated_apparent = base.power;
  request.rated_active = base.power * request.rated_power_factor;
  return request;
}

double synchronising_torque(SteadyState& state, const SteadyPoint& point, int pole_pairs) {
  const InductanceMatrix l = state.inductances();
  const double w = state.options().omega, r = state.options().resistance;
  // (R + jω L) di = j u, real and imaginary parts.
  const double a = r - w * l.qd, b = -w * l.qq, c = w * l.dd, d = r + w * l.dq;
  const Phasor change = Phasor{0, 1} * point.voltage;
  const double det = a * d - b * c;
  const Phasor di{(change.real() * d - b * change.imag()) / det, (a * change.imag() - c * change.real()) / det};
  const Phasor dl{l.dd * di.real() + l.dq * di.imag(), l.qd * di.real() + l.qq * di.imag()};
  return 0.5 * state.phases() * pole_pairs * (std::conj(dl) * point.current + std::conj(point.linkage) * di).imag();
}

std::vector<Excitation> chart_states(const Case& kase, const Section& section, const Block& study) {
  return load_point_states(kase, section, as_load_point(study));
}

}  // namespace polepitch
