// magnetising-curve: phase voltage, air-gap field and magnetising reactance against the magnetising current, of the
// stator (cage and other machines) or of the field winding.
#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "cases/skew.h"
#include "cases/study_list.h"
#include "cases/study_tools.h"
#include "cases/sweep.h"
#include "post/dq.h"
#include "post/gap_quantities.h"
#include "post/torque.h"

namespace polepitch {
namespace {

std::vector<Parameter> parameters() {
  return {
      {.name = "fed_from",
       .form = Form::choice,
       .optional = true,
       .choices = {"stator", "field"},
       .sentence = "Which winding magnetises; the field winding where there is one, when it is not given."},
      {.name = "largest_current",
       .kind = Kind::current,
       .unit = "A",
       .lower = 1e-6,
       .upper = 1e6,
       .optional = true,
       .sentence = "End of the curve: r.m.s. phase current (half of rated current when it is not given), or direct "
                   "current of the field winding (which must be given)."},
      {.name = "points",
       .form = Form::integer,
       .lower = 2,
       .upper = 500,
       .fallback = "12",
       .sentence = "Currents on the curve, equally spaced, without zero."},
      {.name = "positions",
       .form = Form::integer,
       .lower = 1,
       .upper = 720,
       .fallback = "6",
       .sentence = "Rotor positions over one ripple period whose mean is reported."},
  };
}

struct Plan {
  bool from_field = false;
  double largest = 0;  // A, as the case gives it: r.m.s. or direct
  int points = 0, positions = 0;
};

Plan read_plan(const Case& kase, const Section& section, const Block& study) {
  const Values& v = study.values;
  Plan plan;
  plan.points = v.integer("points");
  plan.positions = v.integer("positions");
  plan.from_field = v.has("fed_from") ? v.text("fed_from") == "field" : field_branch(section) >= 0;
  if (plan.from_field && field_branch(section) < 0)
    throw InputError(study.path + ".fed_from = \"field\", but this rotor has no field winding",
                     "feed it from the stator", v.place("fed_from"));
  if (phase_count(section) == 0)
    throw InputError("a magnetising-curve study needs a stator winding", "give the machine a [winding]", study.place);
  if (v.has("largest_current"))
    plan.largest = v.number("largest_current");
  else if (plan.from_field)
    throw InputError(study.path + ".largest_current is missing", "state the largest field current of the curve",
                     study.place);
  else
    plan.largest = 0.5 * per_unit_base(kase.machine).current / std::sqrt(2.0);
  return plan;
}

Load load_at(const Plan& plan, double current) {
  Load load;
  load.positions = plan.positions;
  (plan.from_field ? load.field_current : load.current) = plan.from_field ? current : std::sqrt(2.0) * current;
  return load;
}

struct Record {
  Dq linkage;    // Wb, peak, with the end winding
  double b = 0;  // T
  MagnetisingPoint split;

  double voltage(double omega) const { return omega * std::hypot(linkage.d, linkage.q) / std::sqrt(2.0); }
};

/// Means along a skewed stack, `each` slices a position.
std::vector<Record> along_stack(const std::vector<Record>& slices, size_t each) {
  std::vector<Record> positions(slices.size() / each);
  const double share = 1 / static_cast<double>(each);
  for (size_t i = 0; i < slices.size(); ++i) {
    Record& mean = positions[i / each];
    const Record& slice = slices[i];
    mean.linkage.d += share * slice.linkage.d;
    mean.linkage.q += share * slice.linkage.q;
    mean.b += share * slice.b;
    mean.split.parts = mean.split.parts + share * slice.split.parts;
    mean.split.current = slice.split.current;
    mean.split.end_winding = slice.split.end_winding;
  }
  return positions;
}

/// `angle`: of the rotor in the middle of the stack.
Record record_point(const Section& section, const SolvedPoint& point, const Plan& plan, double angle, double end) {
  Record r;
  r.linkage = phases_to_dq(section, point.field.linkages(point.solution), angle);
  const Dq current = phases_to_dq(section, point.excitation.currents, angle);
  r.linkage.d += end * current.d;
  r.linkage.q += end * current.q;
  r.b = std::abs(fundamental_radial(point.solution.gap, section.pole_pairs));
  if (!plan.from_field) r.split = magnetising_point(point.field, point.solution, point.excitation, end);
  return r;
}

/// One rotor position, or the mean over all.
struct Curve {
  std::vector<double> current, voltage, b, x_m, x_1;
};

Curve curve_of(const Plan& plan, const std::vector<Record>& records, double omega, int position) {
  Curve c;
  for (int i = 0; i < plan.points; ++i) {
    const Record& r = records[static_cast<size_t>(i) * plan.positions + position];
    c.current.push_back(plan.largest * (i + 1) / plan.points);
    c.voltage.push_back(r.voltage(omega));
    c.b.push_back(r.b);
    c.x_m.push_back(omega * r.split.main_inductance());
    c.x_1.push_back(omega * r.split.leakage_inductance());
  }
  return c;
}

Curve mean_curve(const std::vector<Curve>& positions) {
  Curve mean = positions.front();
  for (std::vector<double> Curve::*column : {&Curve::voltage, &Curve::b, &Curve::x_m, &Curve::x_1})
    for (size_t i = 0; i < mean.current.size(); ++i) {
      double sum = 0;
      for (const Curve& c : positions) sum += (c.*column)[i];
      (mean.*column)[i] = sum / static_cast<double>(positions.size());
    }
  return mean;
}

/// Position of `target` on a rising column as index + share; −1 outside.
double locate(const std::vector<double>& rising, double target) {
  for (size_t i = 1; i < rising.size(); ++i)
    if (rising[i - 1] <= target && target <= rising[i])
      return static_cast<double>(i - 1) + (target - rising[i - 1]) / (rising[i] - rising[i - 1]);
  return -1;
}

double read_at(const std::vector<double>& column, double where) {
  const auto i = static_cast<size_t>(where);
  if (i + 1 >= column.size()) return column.back();
  return column[i] + (where - static_cast<double>(i)) * (column[i + 1] - column[i]);
}

void report(StudyContext& context, const Plan& plan, const std::vector<Curve>& positions, const Curve& c,
            StudyResult& result) {
  const double base = per_unit_base(context.kase.machine).impedance;
  const double rated = per_unit_base(context.kase.machine).voltage / std::sqrt(2.0);
  const double where = locate(c.voltage, rated);
  if (where < 0) {
    result.results.warnings.push_back(fmt::format(
        "{}: rated phase voltage, {:.5g} V, lies outside the curve ({:.5g} V to {:.5g} V); values at its end are given",
        context.name, rated, c.voltage.front(), c.voltage.back()));
  }
  const double at_index = where < 0 ? static_cast<double>(c.voltage.size() - 1) : where;
  At at = {{"voltage", where < 0 ? "end of the curve" : "rated"}};
  Recorder out(result, context.name, at, plan.positions);
  const auto each = [&](std::vector<double> Curve::*column) {
    std::vector<double> values;
    for (const Curve& position : positions) values.push_back(read_at(position.*column, at_index));
    return values;
  };
  out.add_mean("U_magnetising", each(&Curve::voltage), "omega times linkage");
  out.add_mean("B_r1", each(&Curve::b), "annulus harmonics").key_result = true;
  const std::string where_read = "interpolated on the mean curve";
  if (plan.from_field) {
    out.add_mean("i_field", each(&Curve::current), where_read).key_result = true;
    return;
  }
  std::vector<double> peak = each(&Curve::current);
  for (double& i : peak) i *= std::sqrt(2.0);
  out.add_mean("i_magnetising", peak, where_read).key_result = true;
  out.add_reactance("X_m", each(&Curve::x_m), base, "split of the field").key_result = true;
  out.add_reactance("X_1", each(&Curve::x_1), base, "split of the field").key_result = true;
}

/// Half and full current, one position each.
std::vector<Excitation> states(const Case& kase, const Section& section, const Block& study) {
  const Plan plan = read_plan(kase, section, study);
  const Load half = load_at(plan, 0.5 * plan.largest), full = load_at(plan, plan.largest);
  return {excite(section, half, 0.2 * ripple_period(section)), excite(section, full, 0.7 * ripple_period(section))};
}

StudyResult run(StudyContext& context, const Block& study) {
  const Section& section = context.section;
  const Plan plan = read_plan(context.kase, section, study);
  const double omega = rated_omega(context.kase), end = end_winding_of(context);
  std::vector<Excitation> points;
  for (int i = 0; i < plan.points; ++i)
    for (const Excitation& e : mean_positions(section, load_at(plan, plan.largest * (i + 1) / plan.points)))
      points.push_back(e);
  const std::vector<double> offsets = skew_offsets(context.kase);
  std::vector<Record> slices(points.size() * offsets.size());
  std::vector<double> past(slices.size());
  sweep(context, in_slices(points, offsets), [&](const SolvedPoint& point) {
    const double middle = points[point.index / offsets.size()].rotor_angle;
    slices[point.index] = record_point(section, point, plan, middle, end);
    past[point.index] = extrapolated_share(point.field, point.solution);
  });
  const std::vector<Record> records = along_stack(slices, offsets.size());
  StudyResult result;
  std::vector<Curve> positions;
  for (int k = 0; k < plan.positions; ++k) positions.push_back(curve_of(plan, records, omega, k));
  const Curve c = mean_curve(positions);
  report(context, plan, positions, c, result);
  ResultCurve curve{context.name,
                    "curve",
                    plan.from_field ? "Phase voltage on no load against the field current"
                                    : "Phase voltage against the magnetising current",
                    {},
                    false};
  curve.columns = {{plan.from_field ? "field_current" : "phase_current", "A", c.current},
                   {"U_magnetising", "V", c.voltage},
                   {"B_r1", "T", c.b}};
  if (plan.from_field) {  // a machine with a field winding has no other source: the curve starts at nothing
    for (Column& column : curve.columns) column.values.insert(column.values.begin(), 0.0);
  } else {
    curve.columns.push_back({"X_m", "ohm", c.x_m});
    curve.columns.push_back({"X_1", "ohm", c.x_1});
  }
  result.results.curves.push_back(curve);
  warn_extrapolated(result, context.name, *std::max_element(past.begin(), past.end()));
  return result;
}

}  // namespace

StudyType magnetising_curve_study() {
  return {
      "magnetising-curve",
      "Phase voltage, B_r1, magnetising and leakage reactance against the magnetising current of the stator, or the "
      "phase voltage on no load against the field current.",
      parameters(),
      run,
      [](const Case& kase, const Section& section, const Block& study) { read_plan(kase, section, study); },
      true,
      states};
}

}  // namespace polepitch
