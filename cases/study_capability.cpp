// capability: what armature, field and the margin to pull-out allow, as active and reactive power.
#include <fmt/format.h>

#include "cases/capability.h"
#include "cases/study_list.h"
#include "cases/study_tools.h"

namespace polepitch {
namespace {

std::vector<Parameter> parameters() {
  std::vector<Parameter> list = chart_parameters();
  for (Parameter& p : list)
    if (p.name == "largest_field_current")
      p.sentence = "Field current that must not be passed; that of the rated load point when it is not given.";
  list.push_back(
      {.name = "largest_power",
       .kind = Kind::power,
       .unit = "kW",
       .lower = 1e-6,
       .upper = 2e6,
       .optional = true,
       .sentence = "Active power that prime mover or load set as limit; the rated one when it is not given."});
  list.push_back({.name = "stability_margin",
                  .lower = 0,
                  .upper = 0.9,
                  .fallback = "0.1",
                  .sentence = "Active power that is kept back from pull-out at the same field current, over rated "
                              "apparent power (common practice: a tenth)."});
  list.push_back({.name = "points",
                  .form = Form::integer,
                  .lower = 4,
                  .upper = 100,
                  .fallback = "8",
                  .sentence = "Points of each limit that is solved on the field."});
  return list;
}

CapabilityRequest read(const Case& kase, const Section& section, const Block& study) {
  CapabilityRequest request;
  request.chart = read_chart(kase, section, study);
  request.margin = study.values.number("stability_margin");
  request.points = study.values.integer("points");
  request.largest_power =
      study.values.has("largest_power") ? study.values.number("largest_power") : request.chart.rated_active;
  return request;
}

ResultCurve curve_of(const StudyContext& context, const Capability& c) {
  ResultCurve curve{context.name, "limits", "Reactive power that the limits allow, over active power", {}, false};
  curve.columns = {{"P_terminal", "W", c.power}, {"Q_most", "var", c.most}, {"Q_least", "var", c.least}};
  for (Column& column : curve.columns) column.drawn = false;  // the chart shows them
  return curve;
}

ResultCurve pull_out_curve(const StudyContext& context, const Capability& c) {
  ResultCurve curve{context.name, "pull_out", "Pull-out at the terminals over the field current", {}, false};
  curve.columns = {{"i_field", "A", c.pull_out.field_current},
                   {"P_pull_out", "W", c.pull_out.power},
                   {"Q_pull_out", "var", c.pull_out.reactive}};
  return curve;
}

void report(StudyResult& result, const StudyContext& context, const Capability& c, const CapabilityRequest& request) {
  const double voltage = request.chart.at.voltage / per_unit_base(context.kase.machine).voltage;
  Recorder out(result, context.name, {{"voltage", fmt::format("{:.4g} of rated", voltage)}},
               request.chart.at.positions);
  const std::string how = "limits solved on the field";
  Quantity& field = out.add("i_field_limit", c.field_limit, "Newton on the field, rated load point");
  if (request.chart.at.largest_field_current) {
    field.method = "given";
    field.exact = true;
  }
  if (c.power.empty()) {
    result.results.warnings.push_back(context.name + ": the limits leave no load point at all at this voltage");
    return;
  }
  out.add("Q_most_no_load", c.most.front(), how).key_result = true;
  out.add("Q_least_no_load", c.least.front(), how).key_result = true;
  out.add("P_most", c.power.back(), how).key_result = true;
  out.add("Q_most", c.most.back(), how).key_result = true;
  out.add("Q_least", c.least.back(), how).key_result = true;
}

StudyResult run(StudyContext& context, const Block& study) {
  const CapabilityRequest request = read(context.kase, context.section, study);
  SteadyState state(context, options_for(context, request.chart.at));
  const Capability c = capability(state, request, context.progress);
  StudyResult result;
  report(result, context, c, request);
  Construction chart = capability_chart(c, request);
  chart.study = context.name;
  result.results.constructions.push_back(std::move(chart));
  result.results.curves.push_back(curve_of(context, c));
  if (!c.pull_out.empty()) result.results.curves.push_back(pull_out_curve(context, c));
  return result;
}

}  // namespace

StudyType capability_study() {
  return {"capability",
          "Capability chart at one terminal voltage: the active and reactive powers that armature current, field "
          "current and a margin to pull-out allow, each limit solved on the field.",
          parameters(),
          run,
          [](const Case& kase, const Section& section, const Block& study) { read(kase, section, study); },
          true,
          chart_states};
}

}  // namespace polepitch
