#include "cases/load_point.h"

#include <fmt/format.h>

#include <cmath>

#include "cases/adaption.h"
#include "cases/field_iron_loss.h"
#include "cases/load.h"
#include "cases/pull_out.h"

namespace polepitch {
namespace {

Parameter quantity_of(const char* name, Kind kind, const char* unit, double lower, double upper, const char* sentence) {
  return {
      .name = name, .kind = kind, .unit = unit, .lower = lower, .upper = upper, .optional = true, .sentence = sentence};
}

double line_over_phase(const Case& kase) {
  return per_unit_base(kase.machine).star ? std::sqrt(3.0) : 1;
}

/// Throws what the machine cannot do at all.
void check_machine(const Case& kase, const Section& section, const Block& study) {
  if (phase_count(section) == 0)
    throw InputError("a load point needs a stator winding", "give the machine a [winding]", study.place);
  if (has_bars(section))
    throw InputError("a load point at synchronous speed does not fit a cage rotor, which carries no current there",
                     "take a rotor with field winding, magnets or barriers", study.place);
  if (!kase.machine.rating.present)
    throw InputError("a load point needs the rated voltage and frequency", "give the machine a [rating]", study.place);
}

/// Past the pull-out of a held field: the largest power there, and where.
[[noreturn]] void refuse_power(SteadyState& state, const LoadPointRequest& request, const Block& study) {
  const double sense = request.generator ? -1 : 1;
  const PullOut most = pull_out(state, request.voltage, request.field_current.value_or(0), sense);
  throw InputError(
      fmt::format("{:.5g} kW cannot be reached: at this voltage{} the machine pulls out at {:.5g} kW, load angle "
                  "{:.1f} deg",
                  1e-3 * request.power,
                  request.field_current ? fmt::format(" and {:.5g} A of field current", *request.field_current) : "",
                  1e-3 * sense * complex_power(most.point, state.phases()).real(), most.point.load_angle() * 180 / pi),
      "ask for less power, or give more field or voltage", study.place);
}

/// Steps from no load towards a point that a whole Newton run misses; the last step that holds is the nearest point.
SteadyPoint approach(SteadyState& state, const Terminal& wanted, const LoadPointRequest& request, const Block& study) {
  const auto part = [&](double share) {
    Terminal t = wanted;
    t.power *= share;
    t.reactive *= share;
    return t;
  };
  double reached = 0, step = 0.25;
  SteadyPoint point = state.solve(part(0));
  while (reached < 1) try {
      const double next = std::min(1.0, reached + step);
      point = state.solve(part(next), &point);
      reached = next;
    } catch (const ConvergenceError&) {
      step *= 0.5;
      if (step > 0.01) continue;
      if (wanted.given == Terminal::Given::power) refuse_power(state, request, study);
      throw InputError(fmt::format("{:.5g} kW at this power factor cannot be reached; the largest that was found is "
                                   "{:.5g} kW, at {:.5g} A of field current",
                                   1e-3 * request.power, 1e-3 * reached * request.power, point.field_current),
                       "ask for less power, or for less voltage", study.place);
    }
  return point;
}

/// More field than allowed: what the allowed field gives instead.
[[noreturn]] void refuse_field(SteadyState& state, const LoadPointRequest& request, const SteadyPoint& point,
                               const Block& study) {
  LoadPointRequest held = request;
  held.field_current = *request.largest_field_current;
  std::string nearest;
  try {
    const SteadyPoint there = state.solve(terminal_of(held), &point);
    const Phasor s = complex_power(there, state.phases());
    nearest = fmt::format("with it, {:.5g} kW are met at the power factor {:.4f}, {}", 1e-3 * request.power,
                          std::abs(s.real()) / std::abs(s), s.imag() < 0 ? "over-excited" : "under-excited");
  } catch (const ConvergenceError&) {
    nearest = "with it, this power lies past pull-out";
  }
  throw InputError(fmt::format("the load point needs {:.5g} A of field current, more than the {:.5g} A allowed; {}",
                               point.field_current, *request.largest_field_current, nearest),
                   "change the power factor or power, or allow more field", study.place);
}

}  // namespace

std::vector<Parameter> load_point_parameters() {
  return {
      {.name = "operation",
       .form = Form::choice,
       .fallback = "generator",
       .choices = {"generator", "motor"},
       .sentence = "Which way the power goes; powers and power factor are then of that reference (out of "
                   "a generator's terminals, into a motor's). A machine with a cage is a motor when it is not given."},
      quantity_of("voltage", Kind::voltage, "V", 0.1, 1e6,
                  "Line-to-line terminal voltage, r.m.s.; rated when it is not given."),
      quantity_of("power", Kind::power, "kW", 0, 2e6,
                  "Active power at the terminals; rated apparent power times rated power factor when it is not given."),
      {.name = "power_factor",
       .lower = 0.01,
       .upper = 1,
       .optional = true,
       .sentence = "Power factor that the field winding is to meet, of a machine with one; rated when neither it nor "
                   "the field current is given."},
      {.name = "excitation",
       .form = Form::choice,
       .fallback = "over-excited",
       .choices = {"over-excited", "under-excited"},
       .sentence = "Sense of the power factor: over-excited the machine supplies reactive power (lagging of a "
                   "generator, leading of a motor)."},
      quantity_of("field_current", Kind::current, "A", -1e5, 1e5,
                  "Field current that is held, instead of the power factor, which then is a result."),
      quantity_of("largest_field_current", Kind::current, "A", 0, 1e5,
                  "Field current that must not be passed; a load point that needs more is refused with the nearest."),
      quantity_of("phase_resistance", Kind::resistance, "ohm", 0, 1e4,
                  "Resistance of a phase; the winding's direct-current resistance when it is not given."),
      {.name = "positions",
       .form = Form::integer,
       .lower = 1,
       .upper = 180,
       .fallback = "12",
       .sentence = "Rotor positions over one ripple period whose mean the terminal conditions refer to."},
  };
}

LoadPointRequest read_load_point(const Case& kase, const Section& section, const Block& study) {
  check_machine(kase, section, study);
  const Values& v = study.values;
  const PerUnitBase base = per_unit_base(kase.machine);
  const double rated_factor = kase.machine.rating.values.number("power_factor");
  const auto maybe = [&](const char* key) {
    return v.has(key) ? std::optional<double>(v.number(key)) : std::optional<double>();
  };
  LoadPointRequest r;
  r.generator = v.text("operation") == "generator";
  r.over_excited = v.text("excitation") == "over-excited";
  r.voltage = v.has("voltage") ? v.number("voltage") * std::sqrt(2.0) / line_over_phase(kase) : base.voltage;
  r.power = v.has("power") ? v.number("power") : base.power * rated_factor;
  r.power_factor = maybe("power_factor");
  r.field_current = maybe("field_current");
  r.largest_field_current = maybe("largest_field_current");
  r.resistance = maybe("phase_resistance");
  r.positions = v.integer("positions");
  if (v.has("loss_positions")) {
    check_iron_loss(kase, section, study);
    r.loss_positions = v.integer("loss_positions");
  }
  const bool wound = field_branch(section) >= 0;
  if (wound && !r.power_factor && !r.field_current) r.power_factor = rated_factor;
  std::vector<Diagnostic> faults;
  const auto refuse = [&](const char* key, const std::string& message, const std::string& hint) {
    faults.push_back({v.place(key), study.path + "." + key + " " + message, hint});
  };
  if (wound && r.power_factor && r.field_current)
    refuse("power_factor", "is given beside the field current, from which it follows", "leave one of the two out");
  for (const char* key : {"power_factor", "field_current", "largest_field_current"})
    if (!wound && v.has(key))
      refuse(key, "is given, but this rotor has no field winding", "leave the key out; the power factor follows");
  if (!faults.empty()) throw InputError(faults);
  return r;
}

SteadyOptions options_for(const StudyContext& context, const LoadPointRequest& request) {
  SteadyOptions options = steady_options(context, request.positions);
  if (request.resistance) options.resistance = *request.resistance;
  return options;
}

Terminal terminal_of(const LoadPointRequest& r) {
  const double into = r.generator ? -1 : 1;
  Terminal t{.given = Terminal::Given::power, .voltage = r.voltage, .power = into * r.power};
  t.field_current = r.field_current.value_or(0);
  if (r.field_current || !r.power_factor) return t;
  t.given = Terminal::Given::powers;
  const double reactive = r.power * std::tan(std::acos(*r.power_factor));
  t.reactive = r.over_excited ? -reactive : reactive;
  return t;
}

SteadyPoint solve_load_point(SteadyState& state, const LoadPointRequest& request, const Block& study) {
  const Terminal wanted = terminal_of(request);
  SteadyPoint point;
  try {
    point = state.solve(wanted);
  } catch (const ConvergenceError&) {
    point = approach(state, wanted, request, study);
  }
  if (request.largest_field_current && point.field_current > *request.largest_field_current)
    refuse_field(state, request, point, study);
  return point;
}

void warn_beyond_rating(const StudyContext& context, const SteadyPoint& point, StudyResult& result) {
  const double rated = per_unit_base(context.kase.machine).current, times = std::abs(point.current) / rated;
  if (!(times > 1.05)) return;
  result.results.warnings.push_back(fmt::format(
      "{}: {}beyond the rating: the stator carries {:.5g} A a phase, {:.3g} times its rated {:.5g} A; the field is "
      "solved, but whether windings and cooling bear this, and how long, is not asked",
      context.name, times > 2 ? "far " : "", std::abs(point.current) / std::sqrt(2.0), times, rated / std::sqrt(2.0)));
}

std::vector<Excitation> load_point_states(const Case& kase, const Section& section, const Block& study) {
  LoadPointRequest request = read_load_point(kase, section, study);
  request.positions = 2;
  const Mesh mesh = mesh_section(section, {0.5});
  FieldPool fields(section, mesh, kase.materials, solver_options(kase), 1);
  StudyContext context{kase, section, mesh, fields, study.type, [](double) {}};
  SteadyState state(context, options_for(context, request));
  const SteadyPoint point = solve_load_point(state, request, study);
  std::vector<Excitation> states;
  for (double share : {0.07, 0.38, 0.76})
    states.push_back(dq_excitation(section, {point.current.real(), point.current.imag(), 0}, point.field_current,
                                   share * ripple_period(section)));
  return states;
}

std::vector<std::pair<std::string, std::string>> describe_load_point(const Case& kase, const LoadPointRequest& r) {
  std::vector<std::pair<std::string, std::string>> at = {
      {"operation", r.generator ? "generator" : "motor"},
      {"voltage", fmt::format("{:.6g} V", r.voltage * line_over_phase(kase) / std::sqrt(2.0))},
      {"power", fmt::format("{:.6g} kW", 1e-3 * r.power)}};
  if (r.power_factor)
    at.emplace_back("power_factor",
                    fmt::format("{:.4g} {}", *r.power_factor, r.over_excited ? "over-excited" : "under-excited"));
  if (r.field_current) at.emplace_back("field_current", fmt::format("{:.6g} A", *r.field_current));
  return at;
}

}  // namespace polepitch
