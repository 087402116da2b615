// reactances: apparent and incremental X_d, X_q, magnetising and leakage parts at an operating point.
#include <algorithm>
#include <span>

#include "cases/skew.h"
#include "cases/study_list.h"
#include "cases/study_tools.h"
#include "cases/sweep.h"
#include "post/dq.h"
#include "post/end_winding.h"

namespace polepitch {
namespace {

/// One number of every position.
template <class Record, class Read>
std::vector<double> each(const std::vector<Record>& positions, Read read) {
  std::vector<double> values;
  for (const Record& record : positions) values.push_back(read(record));
  return values;
}

struct Out {
  Recorder& recorder;
  double omega, base;

  template <class Record, class Read>
  Quantity& mean(const std::string& name, const std::vector<Record>& positions, Read read, const std::string& method) {
    return recorder.add_reactance(name, each(positions, read), base, method);
  }
};

void report_split(Out& out, const std::vector<FrozenInductances>& frozen) {
  using F = const FrozenInductances&;
  const std::string how = "split of the field, frozen reluctivity";
  const double w = out.omega;
  const auto axis = [&](const std::string& end, auto parts) {
    out.mean(
        "X_slot_" + end, frozen, [&](F f) { return w * parts(f).slot; }, how);
    out.mean(
        "X_tooth_tip_" + end, frozen, [&](F f) { return w * parts(f).tooth_tip; }, how);
    out.mean(
        "X_differential_" + end, frozen, [&](F f) { return w * parts(f).differential; }, how);
    out.mean(
        "X_magnetising_" + end, frozen, [&](F f) { return w * parts(f).magnetising; }, how);
  };
  axis("d", [](F f) { return f.d; });
  axis("q", [](F f) { return f.q; });
}

void report_apparent(Out& out, const std::vector<FrozenInductances>& frozen, const Section& section) {
  const int phases = phase_count(section);
  std::vector<Reactances> x;
  for (const FrozenInductances& f : frozen) x.push_back(reactances(f, out.omega, phases));
  using R = const Reactances&;
  const std::string how = "frozen reluctivity", split = "split of the field, frozen reluctivity";
  out.mean(
         "X_d_apparent", x, [](R r) { return r.d; }, how)
      .key_result = true;
  out.mean(
         "X_q_apparent", x, [](R r) { return r.q; }, how)
      .key_result = true;
  out.mean(
      "X_dq_apparent", x, [](R r) { return r.dq; }, how);
  out.mean(
      "X_qd_apparent", x, [](R r) { return r.qd; }, how);
  out.mean(
         "X_l", x, [](R r) { return r.l; }, "mean of both axes' leakage")
      .key_result = true;
  out.mean(
      "X_l_d", x, [](R r) { return r.l_d; }, split);
  out.mean(
      "X_l_q", x, [](R r) { return r.l_q; }, split);
  out.mean(
         "X_ad", x, [](R r) { return r.ad; }, "X_d - X_l")
      .key_result = true;
  out.mean(
         "X_aq", x, [](R r) { return r.aq; }, "X_q - X_l")
      .key_result = true;
  // In ohm only: with the reciprocal field base its per-unit value is x_ad by definition (theory.md, eq. 35).
  if (phases % 2 == 1)
    out.mean(
        "X_0", x, [](R r) { return r.zero; }, how);
  if (field_branch(section) < 0) return;
  out.recorder.add_mean("X_df", each(x, [](R r) { return r.field_mutual; }), how);
  out.mean(
      "X_fd", x, [](R r) { return r.field_leakage; }, "frozen reluctivity, equal mutuals");
  out.mean(
      "X_d_transient", x, [](R r) { return r.transient; }, "frozen reluctivity, field winding alone");
}

void report_incremental(Out& out, const std::vector<InductanceMatrix>& incremental) {
  using M = const InductanceMatrix&;
  const double w = out.omega;
  const std::string how = "Newton tangent";
  out.mean(
         "X_d_incremental", incremental, [w](M l) { return w * l.dd; }, how)
      .key_result = true;
  out.mean(
         "X_q_incremental", incremental, [w](M l) { return w * l.qq; }, how)
      .key_result = true;
  out.mean(
      "X_dq_incremental", incremental, [w](M l) { return w * l.dq; }, how);
  out.mean(
      "X_qd_incremental", incremental, [w](M l) { return w * l.qd; }, how);
}

void check(const Case& kase, const Section& section, const Block& study) {
  if (phase_count(section) == 0)
    throw InputError("a reactances study needs a stator winding", "give the machine a [winding]", study.place);
  read_load(kase, section, study);
}

/// Means of what stands slice by slice, `each` a position.
template <class Inductances>
std::vector<Inductances> means(const std::vector<Inductances>& slices, size_t each) {
  std::vector<Inductances> positions;
  for (size_t i = 0; i < slices.size(); i += each)
    positions.push_back(mean(std::span<const Inductances>(slices).subspan(i, each)));
  return positions;
}

StudyResult run(StudyContext& context, const Block& study) {
  const Section& section = context.section;
  const Load load = read_load(context.kase, context.section, study);
  const double omega = rated_omega(context.kase), base = per_unit_base(context.kase.machine).impedance;
  const double end_winding = end_winding_of(context);
  const std::vector<double> offsets = skew_offsets(context.kase);
  const std::vector<Excitation> points = in_slices(mean_positions(section, load), offsets);
  std::vector<FrozenInductances> frozen(points.size());
  std::vector<InductanceMatrix> incremental(points.size());
  std::vector<double> past(points.size());
  sweep(context, points, [&](const SolvedPoint& point) {
    const double ahead = section.pole_pairs * offsets[point.index % offsets.size()];
    frozen[point.index] = turned(frozen_inductances(point.field, point.solution, end_winding), ahead);
    incremental[point.index] = turned(incremental_inductances(point.field, point.solution, end_winding), ahead);
    past[point.index] = extrapolated_share(point.field, point.solution);
  });
  StudyResult result;
  Recorder recorder(result, context.name, describe_load(section, load), load.positions);
  Out out{recorder, omega, base};
  const std::vector<FrozenInductances> positions = means(frozen, offsets.size());
  report_apparent(out, positions, section);
  report_split(out, positions);
  recorder.add_reactance("X_end_winding", {omega * end_winding}, base, end_winding_method());
  report_incremental(out, means(incremental, offsets.size()));
  warn_extrapolated(result, context.name, *std::max_element(past.begin(), past.end()));
  return result;
}

}  // namespace

StudyType reactances_study() {
  return {"reactances",
          "Apparent (frozen reluctivity) and incremental (Newton tangent) reactances at an operating point, X_ad, X_aq "
          "and X_l with its slot, tooth-tip, differential and end-winding parts, in ohm and per unit.",
          load_parameters(),
          run,
          check,
          true,
          [](const Case& kase, const Section& section, const Block& study) {
            return adaption_states(section, read_load(kase, section, study));
          }};
}

}  // namespace polepitch
