// iron-loss: the three terms of the stator's and rotor's cores at one operating point, at rated frequency.
#include <cmath>
#include <utility>

#include "cases/field_iron_loss.h"
#include "cases/field_map.h"
#include "cases/load.h"
#include "cases/study_list.h"
#include "cases/study_tools.h"

namespace polepitch {
namespace {

std::vector<Parameter> parameters() {
  std::vector<Parameter> list;
  for (Parameter& p : load_parameters())
    if (p.name == "phase_current" || p.name == "current_angle" || p.name == "field_current")
      list.push_back(std::move(p));
  list.push_back({.name = "frequency",
                  .kind = Kind::frequency,
                  .unit = "Hz",
                  .lower = 1e-3,
                  .upper = 1e5,
                  .optional = true,
                  .sentence = "Electrical frequency of the synchronously turning rotor; rated when it is not given."});
  list.push_back(
      {.name = "loss_positions",
       .form = Form::integer,
       .lower = 6,
       .upper = 720,
       .fallback = "36",
       .sentence = "Rotor positions of a pole pitch from which each place's locus of flux density is made."});
  return list;
}

struct Request {
  double current, angle, field_current, frequency;
};

Request read(const Case& kase, const Section& section, const Block& study) {
  check_map_machine(section, study, "the iron loss of a synchronous machine");
  check_iron_loss(kase, section, study);
  const Values& v = study.values;
  if (!v.has("frequency") && !kase.machine.rating.present)
    throw InputError(study.path + ".frequency is missing, and without a [rating] there is no rated frequency",
                     "state the electrical frequency", study.place);
  Request r;
  r.current = phase_current(kase, study);
  r.angle = v.number("current_angle");
  r.field_current = v.number("field_current");
  r.frequency = v.has("frequency") ? v.number("frequency") : rated_omega(kase) / (2 * pi);
  if (r.field_current != 0 && field_branch(section) < 0)
    throw InputError(study.path + ".field_current is given, but this rotor has no field winding", "leave the key out",
                     v.place("field_current"));
  return r;
}

Load load_of(const Request& r) {
  Load load;
  load.current = r.current;
  load.current_angle = r.angle;
  load.field_current = r.field_current;
  return load;
}

StudyResult run(StudyContext& context, const Block& study) {
  const Request r = read(context.kase, context.section, study);
  const int per_half = study.values.integer("loss_positions");
  const IronLoss loss = solve_iron_loss(
      context, {r.current * std::cos(r.angle), r.current * std::sin(r.angle), r.field_current}, per_half, r.frequency);
  StudyResult result;
  At at = describe_load(context.section, load_of(r));
  at.pop_back();  // the rotor turns: it has no one angle
  at.emplace_back("frequency", format_quantity(Kind::frequency, r.frequency, "Hz"));
  Recorder out(result, context.name, at, per_half);
  report_iron_loss(out, loss);
  return result;
}

}  // namespace

StudyType iron_loss_study() {
  return {
      "iron-loss",
      "Iron loss of a synchronously turning machine at an operating point: hysteresis, classical and excess from the "
      "locus of flux density in every element of the laminated cores.",
      parameters(),
      run,
      [](const Case& kase, const Section& section, const Block& study) { read(kase, section, study); },
      false,
      [](const Case& kase, const Section& section, const Block& study) {
        return adaption_states(section, load_of(read(kase, section, study)));
      }};
}

}  // namespace polepitch
