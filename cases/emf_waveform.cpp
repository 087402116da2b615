#include "cases/emf_waveform.h"

#include <algorithm>
#include <cmath>

#include "cases/skew.h"
#include "cases/sweep.h"
#include "post/dq.h"
#include "post/emf.h"

namespace polepitch {
namespace {

constexpr int kHighest = 100;
// Of the largest linkage: a mesh that no slot pitch repeats breaks the symmetry by its own error, far below this.
constexpr double kSymmetric = 2e-3;

std::vector<Excitation> turned(const StudyContext& context, const EmfRequest& request, int steps, double span) {
  std::vector<Excitation> points;
  for (int k = 0; k < steps; ++k)
    points.push_back(dq_excitation(context.section, {}, request.field_current,
                                   span * k / request.steps / context.section.pole_pairs));
  return points;
}

struct TurnedField {
  std::vector<std::vector<double>> linkages;  // [phase][position]
  FluxDensityRecords flux;
};

TurnedField turn(StudyContext& context, const std::vector<Excitation>& points, double from, double to) {
  const auto m = static_cast<size_t>(phase_count(context.section));
  const std::vector<double> offsets = skew_offsets(context.kase);
  const std::vector<Excitation> slices = in_slices(points, offsets);
  TurnedField turned{{m, std::vector<double>(points.size())}, {context, slices.size()}};
  std::vector<std::vector<double>> linkages(slices.size());
  sweep(
      context, slices,
      [&](const SolvedPoint& point) {
        linkages[point.index] = point.field.linkages(point.solution);
        turned.flux.add(point.index, point.field, point.solution);
      },
      from, to);
  for (size_t i = 0; i < slices.size(); ++i)
    for (size_t k = 0; k < m; ++k)
      turned.linkages[k][i / offsets.size()] += linkages[i][k] / static_cast<double>(offsets.size());
  return turned;
}

double largest(const std::vector<double>& values) {
  double found = 0;
  for (double v : values) found = std::max(found, std::abs(v));
  return found;
}

void add_curves(const std::vector<std::complex<double>>& u, bool three_phases, StudyContext& context,
                StudyResult& result) {
  constexpr int kDrawn = 360;
  ResultCurve curve{context.name, "emf", "Voltage on no load at rated speed against the rotor's angle", {}, false};
  Column angle{"electrical_angle", "deg", {}};
  for (int k = 0; k < kDrawn; ++k) angle.values.push_back(360.0 * k / kDrawn);
  curve.columns = {angle, {"phase_voltage", "V", waveform(u, kDrawn)}};
  if (three_phases) curve.columns.push_back({"line_voltage", "V", waveform(line_voltage(u), kDrawn)});
  result.results.curves.push_back(curve);
  ResultCurve harmonics{context.name, "emf_harmonics", "Harmonics of the phase voltage on no load", {}, true};
  Column order{"order", "", {}}, share{"share_of_fundamental", "%", {}}, volt{"phase_voltage", "V", {}, false};
  for (size_t n = 3; n < u.size(); n += 2) {
    order.values.push_back(static_cast<double>(n));
    share.values.push_back(100 * std::abs(u[n]) / std::abs(u[1]));
    volt.values.push_back(std::abs(u[n]) / std::sqrt(2.0));
  }
  harmonics.columns = {order, share, volt};
  harmonics.drawn_to = 50;
  result.results.curves.push_back(harmonics);
}

}  // namespace

std::vector<double> linkage_period(StudyContext& context, const EmfRequest& request, StudyResult& result, double from,
                                   double to) {
  const int m = phase_count(context.section);
  if (m % 2 == 1) {
    TurnedField part = turn(context, turned(context, request, request.steps + 1, pi / m), from, to);
    const double closed = part.linkages[0].back() + part.linkages[static_cast<size_t>(m - 1) / 2].front();
    double scale = 0;
    for (std::vector<double>& phase : part.linkages) {
      scale = std::max(scale, largest(phase));
      phase.pop_back();
    }
    if (std::abs(closed) <= kSymmetric * scale) {
      part.flux.finish(context, result);
      return unfold_period(part.linkages);
    }
  }
  TurnedField whole = turn(context, turned(context, request, 2 * m * request.steps, pi / m), from, to);
  whole.flux.finish(context, result);
  return whole.linkages[0];
}

void add_emf(StudyContext& context, const EmfRequest& request, StudyResult& result, double from, double to) {
  const std::vector<double> linkage = linkage_period(context, request, result, from, to);
  const int highest = std::min(kHighest, (static_cast<int>(linkage.size()) - 1) / 2);
  const auto u = induced_voltage(period_spectrum(linkage, highest), rated_omega(context.kase));
  if (u.size() < 2 || std::abs(u[1]) == 0) return;
  const bool three = phase_count(context.section) == 3;
  Recorder out(result, context.name, request.at, request.steps);
  const std::string how = "linkages over one period, derived order by order";
  out.add("emf_peak", largest(waveform(u, 1440)), how).candidates = waveform(u, 360);
  out.add("emf_distortion", total_distortion(u), how).key_result = true;
  if (three) {
    out.add("emf_distortion_line", total_distortion(line_voltage(u)), how).key_result = true;
    out.add("harmonic_voltage_factor", harmonic_voltage_factor(u), how);
  }
  add_curves(u, three, context, result);
}

}  // namespace polepitch
