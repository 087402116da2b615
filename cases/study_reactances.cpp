// reactances: apparent and incremental X_d, X_q, magnetising and leakage parts at an operating point.
#include <algorithm>

#include "cases/study_list.h"
#include "cases/study_tools.h"
#include "cases/sweep.h"
#include "post/dq.h"
#include "post/end_winding.h"

namespace polepitch {
namespace {

void report_split(Recorder& out, const FrozenInductances& mean, double omega, double base) {
  const std::string how = "split of the field, frozen reluctivity";
  const auto axis = [&](const LinkageParts& parts, const std::string& end) {
    out.add_reactance("X_slot_" + end, omega * parts.slot, base, how);
    out.add_reactance("X_tooth_tip_" + end, omega * parts.tooth_tip, base, how);
    out.add_reactance("X_differential_" + end, omega * parts.differential, base, how);
    out.add_reactance("X_magnetising_" + end, omega * parts.magnetising, base, how);
  };
  axis(mean.d, "d");
  axis(mean.q, "q");
}

void report_apparent(Recorder& out, const FrozenInductances& mean, double omega, double base, bool field) {
  const Reactances x = reactances(mean, omega);
  const std::string frozen = "frozen reluctivity";
  out.add_reactance("X_d_apparent", x.d, base, frozen).key_result = true;
  out.add_reactance("X_q_apparent", x.q, base, frozen).key_result = true;
  out.add_reactance("X_dq_apparent", x.dq, base, frozen);
  out.add_reactance("X_qd_apparent", x.qd, base, frozen);
  out.add_reactance("X_l", x.l, base, "mean of both axes' leakage").key_result = true;
  out.add_reactance("X_l_d", x.l_d, base, "split of the field, frozen reluctivity");
  out.add_reactance("X_l_q", x.l_q, base, "split of the field, frozen reluctivity");
  out.add_reactance("X_ad", x.ad, base, "X_d - X_l").key_result = true;
  out.add_reactance("X_aq", x.aq, base, "X_q - X_l").key_result = true;
  if (field) out.add_reactance("X_df", x.field_mutual, base, frozen);
}

StudyResult run(StudyContext& context, const Block& study) {
  const Section& section = context.section;
  if (phase_count(section) == 0)
    throw InputError("a reactances study needs a stator winding", "give the machine a [winding]", study.place);
  const Load load = read_load(context, study);
  const double omega = rated_omega(context.kase), base = per_unit_base(context.kase.machine).impedance;
  const double end_winding = end_winding_of(context);
  const std::vector<Excitation> points = mean_positions(section, load);
  std::vector<FrozenInductances> frozen(points.size());
  std::vector<InductanceMatrix> incremental(points.size());
  std::vector<double> past(points.size());
  sweep(context, points, [&](const SolvedPoint& point) {
    frozen[point.index] = frozen_inductances(point.field, point.solution, end_winding);
    incremental[point.index] = incremental_inductances(point.field, point.solution, end_winding);
    past[point.index] = extrapolated_share(point.field, point.solution);
  });
  StudyResult result;
  Recorder out(result, context.name, describe_load(section, load), load.positions);
  const FrozenInductances mean_frozen = mean(frozen);
  report_apparent(out, mean_frozen, omega, base, field_branch(section) >= 0);
  report_split(out, mean_frozen, omega, base);
  out.add_reactance("X_end_winding", omega * end_winding, base, end_winding_method());
  const InductanceMatrix l = mean(incremental);
  out.add_reactance("X_d_incremental", omega * l.dd, base, "Newton tangent").key_result = true;
  out.add_reactance("X_q_incremental", omega * l.qq, base, "Newton tangent").key_result = true;
  out.add_reactance("X_dq_incremental", omega * l.dq, base, "Newton tangent");
  out.add_reactance("X_qd_incremental", omega * l.qd, base, "Newton tangent");
  warn_extrapolated(result, context.name, *std::max_element(past.begin(), past.end()));
  return result;
}

}  // namespace

StudyType reactances_study() {
  return {"reactances",
          "Apparent (frozen reluctivity) and incremental (Newton tangent) reactances at an operating point, X_ad, X_aq "
          "and X_l with its slot, tooth-tip, differential and end-winding parts, in ohm and per unit.",
          load_parameters(), run, true};
}

}  // namespace polepitch
