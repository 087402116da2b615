// frequency-response: operational inductances of a synchronous machine at standstill, circuits fitted to them, and the
// reactances and time constants in both (IEEE Std 115, IEEE Std 1110).
#include "cases/frequency_response.h"
#include "cases/response_report.h"
#include "cases/study_list.h"

namespace polepitch {
namespace {

At describe(const Section& section, const ResponseRequest& r) {
  At at = {{"state", r.loaded ? "load" : "initial permeability"}};
  for (auto& entry : describe_load(section, r.load))
    if (r.loaded || entry.first == "rotor_angle") at.push_back(std::move(entry));
  return at;
}

StudyResult run(StudyContext& context, const Block& study) {
  StudyResult result;
  const std::vector<ResponseRequest> requests = read_response(context.kase, context.section, study);
  const double share = 1.0 / static_cast<double>(requests.size());
  for (size_t k = 0; k < requests.size(); ++k) {
    const ResponseRequest& r = requests[k];
    const Response response =
        solve_response(context, r, share * static_cast<double>(k), share * static_cast<double>(k + 1));
    report_response(result, context, r, response, describe(context.section, r), r.loaded ? "load" : "initial");
  }
  return result;
}

/// Small currents of both axes and the field for initial permeability; the load itself.
std::vector<Excitation> states(const Case& kase, const Section& section, const Block& study) {
  std::vector<Excitation> all;
  for (const ResponseRequest& r : read_response(kase, section, study)) {
    Load load = r.load;
    if (r.loaded) {
      for (Excitation& e : adaption_states(section, load)) all.push_back(std::move(e));
      continue;
    }
    const double small = 0.05 * per_unit_base(kase.machine).current;
    for (double angle : {0.0, pi / 2}) {
      load.current = small, load.current_angle = angle, load.field_current = 0, load.phase_currents = {};
      all.push_back(excite(section, load, load.rotor_angle + 0.38 * ripple_period(section)));
    }
  }
  return all;
}

}  // namespace

StudyType frequency_response_study() {
  return {
      "frequency-response",
      "Standstill frequency response of a synchronous machine (IEEE Std 115): L_d(s), L_q(s), G(s) with damper bars, "
      "rings, field winding and solid parts, circuits of IEEE Std 1110 fitted to them, reactances and time constants.",
      response_parameters(),
      run,
      [](const Case& kase, const Section& section, const Block& study) { read_response(kase, section, study); },
      true,
      states,
      response_beside};
}

}  // namespace polepitch
