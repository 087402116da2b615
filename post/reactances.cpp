#include "post/reactances.h"

#include <cmath>
#include <vector>

namespace polepitch {

namespace {

/// Unit i_d, unit i_q and, where there is a field winding, unit i_f: sources without magnets.
std::vector<Excitation> unit_sources(const Section& section, double rotor_angle) {
  std::vector<Excitation> sources = {dq_excitation(section, {1, 0, 0}, 0, rotor_angle),
                                     dq_excitation(section, {0, 1, 0}, 0, rotor_angle)};
  if (field_branch(section) >= 0) sources.push_back(dq_excitation(section, {}, 1, rotor_angle));
  for (Excitation& source : sources) source.magnets = 0;
  return sources;
}

constexpr double InductanceMatrix::*matrix_entries[] = {
    &InductanceMatrix::dd, &InductanceMatrix::dq, &InductanceMatrix::qd, &InductanceMatrix::qq, &InductanceMatrix::df,
    &InductanceMatrix::qf, &InductanceMatrix::fd, &InductanceMatrix::fq, &InductanceMatrix::ff};

}  // namespace

InductanceMatrix response_linkages(const StaticField& field, const std::vector<StaticSolution>& responses,
                                   double end_winding) {
  const Section& section = field.section();
  const int f = field_branch(section);
  InductanceMatrix l;
  double* columns[3][3] = {{&l.dd, &l.qd, &l.fd}, {&l.dq, &l.qq, &l.fq}, {&l.df, &l.qf, &l.ff}};
  for (std::size_t k = 0; k < responses.size(); ++k) {
    const std::vector<double> linkages = field.linkages(responses[k]);
    const Dq dq = phases_to_dq(section, linkages, responses[k].rotor_angle);
    *columns[k][0] = dq.d;
    *columns[k][1] = dq.q;
    *columns[k][2] = f >= 0 ? linkages[f] : 0;
  }
  l.dd += end_winding;
  l.qq += end_winding;
  return l;
}

std::vector<StaticSolution> tangent_responses(StaticField& field, const StaticSolution& state) {
  return field.solve_tangent(state, unit_sources(field.section(), state.rotor_angle));
}

FrozenInductances frozen_inductances(StaticField& field, const StaticSolution& state, double end_winding) {
  const Section& section = field.section();
  std::vector<Excitation> sources = unit_sources(section, state.rotor_angle);
  sources.push_back(dq_excitation(section, {0, 0, 1}, 0, state.rotor_angle));
  sources.back().magnets = 0;
  std::vector<StaticSolution> responses = field.solve_frozen(state, sources);
  FrozenInductances result;
  result.end_winding = end_winding;
  result.zero = phases_to_dq(section, field.linkages(responses.back()), state.rotor_angle).zero;
  responses.pop_back();
  result.apparent = response_linkages(field, responses, end_winding);
  const DqLinkageParts of_d = split_linkages_dq(field, responses[0]), of_q = split_linkages_dq(field, responses[1]);
  result.d = of_d.d;
  result.qd = of_d.q;
  result.dq = of_q.d;
  result.q = of_q.q;
  return result;
}

InductanceMatrix incremental_inductances(StaticField& field, const StaticSolution& state, double end_winding) {
  return response_linkages(field, tangent_responses(field, state), end_winding);
}

InductanceMatrix turned(const InductanceMatrix& m, double angle) {
  if (angle == 0) return m;
  const double c = std::cos(angle), s = std::sin(angle);
  InductanceMatrix t = m;  // R M Rᵀ with R turning vectors forward by the angle
  const double dd = c * m.dd - s * m.qd, dq = c * m.dq - s * m.qq, qd = s * m.dd + c * m.qd, qq = s * m.dq + c * m.qq;
  t.dd = c * dd - s * dq;
  t.dq = s * dd + c * dq;
  t.qd = c * qd - s * qq;
  t.qq = s * qd + c * qq;
  t.df = c * m.df - s * m.qf;
  t.qf = s * m.df + c * m.qf;
  t.fd = c * m.fd - s * m.fq;
  t.fq = s * m.fd + c * m.fq;
  return t;
}

FrozenInductances turned(const FrozenInductances& frozen, double angle) {
  if (angle == 0) return frozen;
  FrozenInductances t = frozen;
  t.apparent = turned(frozen.apparent, angle);
  for (double LinkageParts::*part :
       {&LinkageParts::slot, &LinkageParts::tooth_tip, &LinkageParts::differential, &LinkageParts::magnetising}) {
    const InductanceMatrix of_part = turned(
        InductanceMatrix{frozen.d.*part, frozen.dq.*part, frozen.qd.*part, frozen.q.*part, 0, 0, 0, 0, 0}, angle);
    t.d.*part = of_part.dd;
    t.dq.*part = of_part.dq;
    t.qd.*part = of_part.qd;
    t.q.*part = of_part.qq;
  }
  return t;
}

InductanceMatrix mean(std::span<const InductanceMatrix> positions) {
  InductanceMatrix sum;
  for (const InductanceMatrix& position : positions) {
    for (auto entry : matrix_entries) sum.*entry += position.*entry / static_cast<double>(positions.size());
  }
  return sum;
}

FrozenInductances mean(std::span<const FrozenInductances> positions) {
  FrozenInductances sum;
  std::vector<InductanceMatrix> matrices;
  const double share = 1 / static_cast<double>(positions.size());
  for (const FrozenInductances& position : positions) {
    matrices.push_back(position.apparent);
    for (LinkageParts FrozenInductances::*parts :
         {&FrozenInductances::d, &FrozenInductances::q, &FrozenInductances::dq, &FrozenInductances::qd})
      sum.*parts = sum.*parts + share * (position.*parts);
    sum.end_winding += share * position.end_winding;
    sum.zero += share * position.zero;
  }
  sum.apparent = mean(std::span<const InductanceMatrix>(matrices));
  return sum;
}

Reactances reactances(const FrozenInductances& inductances, double omega, int phases, double stated_leakage) {
  Reactances x;
  x.d = omega * inductances.apparent.dd;
  x.q = omega * inductances.apparent.qq;
  x.dq = omega * inductances.apparent.dq;
  x.qd = omega * inductances.apparent.qd;
  x.l_d = omega * inductances.leakage_d();
  x.l_q = omega * inductances.leakage_q();
  x.l = stated_leakage;
  x.ad = x.d - x.l;
  x.aq = x.q - x.l;
  x.md = omega * inductances.d.magnetising;
  x.mq = omega * inductances.q.magnetising;
  x.field_mutual = omega * inductances.apparent.df;
  x.zero = omega * inductances.zero;
  if (inductances.apparent.df != 0 && inductances.apparent.ff > 0) {
    const double to_stator = field_base_ratio(inductances, omega, x);
    x.field_leakage = omega * (2.0 / phases) * inductances.apparent.ff * to_stator * to_stator - x.ad;
    x.transient = x.l + x.ad * x.field_leakage / (x.ad + x.field_leakage);
  }
  return x;
}

Reactances reactances(const FrozenInductances& inductances, double omega, int phases) {
  return reactances(inductances, omega, phases, omega * 0.5 * (inductances.leakage_d() + inductances.leakage_q()));
}

double field_base_ratio(const FrozenInductances& inductances, double omega, const Reactances& reactances) {
  return reactances.ad / (omega * inductances.apparent.df);
}

MagnetisingPoint magnetising_point(const StaticField& field, const StaticSolution& solution,
                                   const Excitation& excitation, double end_winding) {
  MagnetisingPoint point;
  point.end_winding = end_winding;
  std::vector<double> currents = excitation.currents;
  currents.resize(field.section().branches.size(), 0.0);
  const Dq current = phases_to_dq(field.section(), currents, solution.rotor_angle);
  point.current = std::hypot(current.d, current.q);
  if (point.current == 0) return point;
  const DqLinkageParts parts = split_linkages_dq(field, solution);
  const double along = 1 / (point.current * point.current);  // (λ · i)/i²
  point.parts = along * current.d * parts.d + along * current.q * parts.q;
  return point;
}

}  // namespace polepitch
