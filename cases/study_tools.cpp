#include "cases/study_tools.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "cases/sweep.h"
#include "post/dq.h"
#include "post/end_winding.h"
#include "post/quantity_list.h"
#include "post/torque.h"
#include "post/winding_data.h"

namespace polepitch {

Recorder::Recorder(StudyResult& result, std::string study, At at, int positions)
    : result_(result), study_(std::move(study)), at_(std::move(at)), positions_(positions) {}

Quantity& Recorder::add(std::string_view name, double value, const std::string& method) {
  Quantity q = quantity(name, value, method);
  q.study = study_;
  q.at = at_;
  q.positions = positions_;
  q.exact = method == "given" || method == end_winding_method();
  return result_.results.quantities.emplace_back(std::move(q));
}

Quantity& Recorder::add_mean(std::string_view name, const std::vector<double>& values, const std::string& method) {
  const MeanAndRipple m = mean_and_ripple(values);
  Quantity& q = add(name, m.mean, method);
  q.positions = static_cast<int>(values.size());
  if (values.size() > 1) q.ripple = m.ripple;
  q.samples = values;
  return q;
}

Quantity& Recorder::add_reactance(std::string_view name, const std::vector<double>& ohm, double base,
                                  const std::string& method) {
  std::vector<double> per_unit = ohm;
  for (double& x : per_unit) x /= base;
  add_mean((name.front() == 'R' ? "r" : "x") + std::string(name.substr(1)), per_unit, method);
  return add_mean(name, ohm, method);
}

double rated_omega(const Case& kase) {
  return per_unit_base(kase.machine).omega;
}

double end_winding_of(const StudyContext& context) {
  if (phase_count(context.section) == 0 || !context.kase.machine.winding.present) return 0;
  return winding_data(context.section, context.kase.machine, context.kase.materials).end_inductance;
}

std::vector<bool> chosen_frames(const StudyContext& context, size_t count) {
  const auto wanted = static_cast<size_t>(context.kase.output.values.integer("field_angles"));
  std::vector<bool> chosen(count, false);
  if (wanted == 0 || count == 0) return chosen;
  const size_t stride = (count + wanted - 1) / wanted;
  for (size_t k = 0; k < count; k += stride) chosen[k] = true;
  return chosen;
}

double extrapolated_share(const StaticField& field, const StaticSolution& solution) {
  const Mesh& mesh = field.mesh();
  double past = 0, all = 0;
  for (size_t e = 0; e < mesh.triangles.size(); ++e) {
    const BhCurve& curve = field.curve(mesh.region[e]);
    if (curve.linear()) continue;
    const auto& t = mesh.triangles[e];
    const Point &a = mesh.nodes[t[0]], &b = mesh.nodes[t[1]], &c = mesh.nodes[t[2]];
    const double area = 0.5 * ((b.x - a.x) * (c.y - a.y) - (c.x - a.x) * (b.y - a.y));
    const StaticField::Vector v = field.flux_density(solution, static_cast<int>(e), 1.0 / 3, 1.0 / 3);
    all += area;
    if (std::hypot(v.x, v.y) > curve.table_end()) past += area;
  }
  return all > 0 ? past / all : 0;
}

void warn_extrapolated(StudyResult& result, const std::string& study, double share) {
  if (share > 1e-3)
    result.results.warnings.push_back(
        fmt::format("{}: {:.1f} % of the iron is past the end of its B-H table, where the curve is extrapolated", study,
                    100 * share));
}

FluxDensityRecords::FluxDensityRecords(StudyContext& context, size_t points)
    : records_(chain_count(points), flux_density_record(context.fields.of(0))),
      share_(points, 0.0),
      knees_(knee_fields(context.section, context.kase.materials,
                         context.kase.machine.general.values.number("magnet_temperature"))),
      magnets_(points) {}

void FluxDensityRecords::add(size_t index, const StaticField& field, const StaticSolution& solution) {
  add_field(records_[chain_of(index, share_.size())], field, solution);
  share_[index] = extrapolated_share(field, solution);
  if (knees_) magnets_[index] = demagnetisation(field, solution, *knees_);
}

namespace {

/// The table's rows as quantities too: B_stator_tooth and, where it has a meaning, B_stator_tooth_third.
void report_flux_densities(StudyContext& context, const FluxDensityTable& table, StudyResult& result) {
  for (const FluxDensityRow& row : table.rows) {
    std::string name = "B_" + row.part;
    std::replace(name.begin(), name.end(), ' ', '_');
    Recorder out(result, context.name, {{"where", row.worst_name}}, 1);
    out.add(name, row.largest, "difference of A over the width of the cut").candidates = row.each;
    if (row.at_third > 0)
      out.add(name + "_third", row.at_third, "difference of A over the width of the cut").candidates = row.each_third;
  }
}

/// The worst point of the sweep.
void report_magnets(StudyContext& context, const std::vector<Demagnetisation>& magnets, StudyResult& result) {
  const auto largest = [&](auto member) {
    return *std::max_element(magnets.begin(), magnets.end(),
                             [&](const auto& a, const auto& b) { return a.*member < b.*member; });
  };
  const Demagnetisation share = largest(&Demagnetisation::share), reached = largest(&Demagnetisation::reached);
  const std::string where = context.section.regions[static_cast<size_t>(reached.worst_region)].name;
  Recorder out(result, context.name, {{"where", where}}, 1);
  out.add("demagnetised_share", share.share, "H along the magnetisation past the knee, worst position");
  out.add("knee_reached", reached.reached, "H along the magnetisation over the knee field, worst position").candidates =
      reached.reached_near;
  if (share.share > 1e-3)
    result.results.warnings.push_back(
        fmt::format("{}: {:.1f} % of the magnets' area is past the knee of its demagnetisation curve, most in {}",
                    context.name, 100 * share.share, where));
}

}  // namespace

void FluxDensityRecords::finish(StudyContext& context, StudyResult& result) {
  for (size_t c = 1; c < records_.size(); ++c) merge(records_.front(), records_[c]);
  const FluxDensityTable table = flux_density_table(records_.front(), context.name, context.kase.machine.limits.values);
  for (const std::string& warning : limit_warnings(table))
    result.results.warnings.push_back(context.name + ": " + warning);
  report_flux_densities(context, table, result);
  result.results.flux_tables.push_back(table);
  if (knees_) report_magnets(context, magnets_, result);
  warn_extrapolated(result, context.name, *std::max_element(share_.begin(), share_.end()));
}

}  // namespace polepitch
