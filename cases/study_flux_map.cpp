// flux-map: flux linkages and torque over i_d, i_q (and the field current), means over rotor positions; inductances
// from the map, and how far it is from the field between its points.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "cases/field_map.h"
#include "cases/load.h"
#include "cases/study_list.h"
#include "cases/study_tools.h"
#include "post/dq.h"

namespace polepitch {
namespace {

Parameter range_of(const char* name, const char* sentence) {
  return {.name = name,
          .form = Form::quantity_list,
          .kind = Kind::current,
          .unit = "A",
          .lower = -1e6,
          .upper = 1e6,
          .optional = true,
          .sentence = sentence};
}

Parameter count_of(const char* name, int lower, int upper, const char* fallback, const char* sentence) {
  return {.name = name,
          .form = Form::integer,
          .lower = static_cast<double>(lower),
          .upper = static_cast<double>(upper),
          .fallback = fallback,
          .sentence = sentence};
}

std::vector<Parameter> parameters() {
  std::vector<Parameter> list = {
      {.name = "largest_current",
       .kind = Kind::current,
       .unit = "A",
       .lower = 1e-6,
       .upper = 1e6,
       .optional = true,
       .sentence = "Phase current, r.m.s., whose peak value the map reaches along both axes (with magnets half of it "
                   "along +d); 1.5 times the rated current when it is not given."},
      range_of("i_d_range", "First and last i_d instead, peak values."),
      range_of("i_q_range", "First and last i_q instead, peak values."),
      count_of("lines_d", 3, 129, "9", "Values of i_d, equally spaced, that the map begins with."),
      count_of("lines_q", 3, 129, "9", "Values of i_q, equally spaced, that the map begins with."),
      {.name = "field_currents",
       .form = Form::quantity_list,
       .kind = Kind::current,
       .unit = "A",
       .lower = -1e5,
       .upper = 1e5,
       .optional = true,
       .sentence = "Field currents of the map, rising; asked for where the rotor has a field winding."},
      count_of("positions", 1, 180, "12", "Rotor positions over one ripple period whose means the map holds."),
      {.name = "accuracy",
       .lower = 1e-5,
       .upper = 1,
       .fallback = "0.001",
       .sentence =
           "Largest difference between map and field off the map's points, over its largest linkage and torque; "
           "lines are added until ten points keep to it."},
      count_of("largest_points", 9, 200000, "3000", "Points of the map beyond which no more lines are added.")};
  return list;
}

void check_range(const Block& study, const char* key, std::vector<Diagnostic>& faults) {
  if (!study.values.has(key)) return;
  const std::vector<double>& range = study.values.numbers(key);
  if (range.size() == 2 && range[0] < range[1]) return;
  faults.push_back({study.values.place(key),
                    fmt::format("{}.{} is not a first and a larger last current", study.path, key),
                    "state two currents, such as [\"-120 A\", \"40 A\"]"});
}

void check_field_currents(const Section& section, const Block& study, std::vector<Diagnostic>& faults) {
  const bool wound = field_branch(section) >= 0, given = study.values.has("field_currents");
  if (wound && !given)
    faults.push_back({study.place, study.path + ".field_currents is missing, and this rotor has a field winding",
                      "list the field currents of the map, such as [\"0 A\", \"2 A\", \"4 A\"]"});
  if (!given) return;
  const Place place = study.values.place("field_currents");
  if (!wound)
    faults.push_back(
        {place, study.path + ".field_currents is given, but this rotor has no field winding", "leave the key out"});
  const std::vector<double>& list = study.values.numbers("field_currents");
  for (size_t i = 1; i < list.size(); ++i)
    if (!(list[i] > list[i - 1])) {
      faults.push_back(
          {place,
           fmt::format("{}.field_currents does not rise: {:.6g} A after {:.6g} A", study.path, list[i], list[i - 1]),
           "list each field current once, the smallest first"});
      break;
    }
}

MapRequest read(const Case& kase, const Section& section, const Block& study) {
  check_map_machine(section, study, "a flux map");
  const Values& v = study.values;
  std::vector<Diagnostic> faults;
  for (const char* key : {"i_d_range", "i_q_range"}) check_range(study, key, faults);
  check_field_currents(section, study, faults);
  if (!faults.empty()) throw InputError(faults);
  double most = 0;
  if (!v.has("i_d_range") || !v.has("i_q_range")) {
    if (!v.has("largest_current") && !kase.machine.rating.present)
      throw InputError(study.path + ".largest_current is missing, and without a [rating] there is no rated current",
                       "state the largest phase current, r.m.s., or both ranges", study.place);
    most = v.has("largest_current") ? std::sqrt(2.0) * v.number("largest_current")
                                    : 1.5 * per_unit_base(kase.machine).current;
  }
  const auto range = [&](const char* key, double upper) {
    return v.has(key) ? v.numbers(key) : std::vector<double>{-most, upper};
  };
  const std::vector<double> d = range("i_d_range", has_magnets(section) ? 0.5 * most : most),
                            q = range("i_q_range", most);
  MapRequest request;
  request.grid.i_d = equal_lines(d[0], d[1], v.integer("lines_d"));
  request.grid.i_q = equal_lines(q[0], q[1], v.integer("lines_q"));
  request.grid.i_f = v.has("field_currents") ? v.numbers("field_currents") : std::vector<double>{0};
  request.positions = v.integer("positions");
  request.accuracy = v.number("accuracy");
  request.most_points = static_cast<size_t>(v.integer("largest_points"));
  return request;
}

/// λ(i) − λ(0 on this axis) over i, the tangent at 0.
double chord(double linkage, double at_zero, double current, double tangent) {
  return current != 0 ? (linkage - at_zero) / current : tangent;
}

ResultCurve table_of(const StudyContext& context, const FluxMapSurface& surface) {
  const FluxMap& map = surface.map();
  ResultCurve table{context.name, "map", "Flux linkages, torque and inductances over the currents", {}, false};
  table.columns = {{"point", "", {}},
                   {"i_d", "A", {}},
                   {"i_q", "A", {}},
                   {"i_field", "A", {}},
                   {"lambda_d", "Wb", map.lambda_d},
                   {"lambda_q", "Wb", map.lambda_q},
                   {"lambda_field", "Wb", map.lambda_f},
                   {"torque", "N m", map.torque},
                   {"L_d_chord", "H", {}},
                   {"L_q_chord", "H", {}},
                   {"L_d_incremental", "H", {}},
                   {"L_q_incremental", "H", {}},
                   {"L_dq_incremental", "H", {}},
                   {"L_qd_incremental", "H", {}}};
  for (size_t f = 0; f < map.i_f.size(); ++f)
    for (double q : map.i_q)
      for (double d : map.i_d) {
        const FluxMapPoint p = surface.at(d, q, map.i_f[f]);
        const double ld = chord(p.lambda_d, surface.at(0, q, map.i_f[f]).lambda_d, d, p.l_dd);
        const double lq = chord(p.lambda_q, surface.at(d, 0, map.i_f[f]).lambda_q, q, p.l_qq);
        const double row[] = {static_cast<double>(table.columns[0].values.size() + 1), d, q, map.i_f[f]};
        for (size_t c = 0; c < 4; ++c) table.columns[c].values.push_back(row[c]);
        const double inductances[] = {ld, lq, p.l_dd, p.l_qq, p.l_dq, p.l_qd};
        for (size_t c = 0; c < 6; ++c) table.columns[8 + c].values.push_back(inductances[c]);
      }
  for (Column& column : table.columns) column.drawn = false;
  return table;
}

/// A contour picture of one quantity at one field current, from the spline on a fine grid.
template <class Read>
ContourMap picture(const StudyContext& context, const FluxMapSurface& surface, const char* name, const char* symbol,
                   const char* words, const char* unit, Read read) {
  const FluxMap& map = surface.map();
  const double field = map.i_f[map.i_f.size() / 2];
  ContourMap out;
  out.study = context.name;
  out.name = name;
  out.title = words;
  if (field_branch(context.section) >= 0) out.title += fmt::format(" at {:.4g} A of field current", field);
  out.x_name = "i_d";
  out.y_name = "i_q";
  out.x_unit = out.y_unit = "A";
  out.z_name = symbol;
  out.z_unit = unit;
  out.x = equal_lines(map.i_d.front(), map.i_d.back(), 81);
  out.y = equal_lines(map.i_q.front(), map.i_q.back(), 81);
  for (double y : out.y)
    for (double x : out.x) out.z.push_back(read(surface.at(x, y, field)));
  return out;
}

void report(StudyResult& result, const StudyContext& context, const FieldMap& field, const MapRequest& request) {
  Recorder out(result, context.name, {}, request.positions);
  out.add("map_points", static_cast<double>(field.map.size()), "count").key_result = true;
  out.add("map_points_solved", static_cast<double>(field.solved), "count");
  const std::string how = fmt::format("largest of {} points off the grid", field.off_grid);
  out.add("map_error_linkage", field.error.linkage, how).key_result = true;
  out.add("map_error_torque", field.error.torque, how).key_result = true;
  for (Quantity& q : result.results.quantities) q.exact = true;  // themselves errors, and a count
  if (field.error.worst() > request.accuracy)
    result.results.warnings.push_back(fmt::format(
        "{}: between its points the map is {:.2g} of the largest value off, more than the {:.2g} asked for; "
        "more lines would pass largest_points = {}",
        context.name, field.error.worst(), request.accuracy, request.most_points));
}

StudyResult run(StudyContext& context, const Block& study) {
  const MapRequest request = read(context.kase, context.section, study);
  const FieldMap field = refined_flux_map(context, request);
  const FluxMapSurface surface(field.map);
  StudyResult result;
  report(result, context, field, request);
  Results& out = result.results;
  out.curves.push_back(table_of(context, surface));
  out.flux_maps.push_back({context.name, field.map, request.positions, field.error.linkage, field.error.torque});
  using P = const FluxMapPoint&;
  const auto add = [&](const char* name, const char* symbol, const char* words, const char* unit, auto read_value) {
    out.contour_maps.push_back(picture(context, surface, name, symbol, words, unit, read_value));
  };
  add("lambda_d", "λ_d", "d-axis flux linkage", "Wb", [](P p) { return p.lambda_d; });
  add("lambda_q", "λ_q", "q-axis flux linkage", "Wb", [](P p) { return p.lambda_q; });
  add("torque", "torque", "Torque", "N m", [](P p) { return p.torque; });
  return result;
}

/// Two corners of the map and one point between, at unequal rotor angles.
std::vector<Excitation> states(const Case& kase, const Section& section, const Block& study) {
  const MapGrid grid = read(kase, section, study).grid;
  const auto between = [](const std::vector<double>& axis, double share) {
    return axis.front() + share * (axis.back() - axis.front());
  };
  std::vector<Excitation> states;
  for (const auto& [d, q, f, angle] : {std::array{0.1, 0.9, 1.0, 0.07}, {0.5, 0.75, 0.6, 0.38}, {0.9, 0.6, 0.9, 0.76}})
    states.push_back(dq_excitation(section, {between(grid.i_d, d), between(grid.i_q, q), 0}, between(grid.i_f, f),
                                   angle * ripple_period(section)));
  return states;
}

}  // namespace

StudyType flux_map_study() {
  return {"flux-map",
          "Flux linkages, torque and inductances over i_d and i_q (and the field current), means over rotor positions, "
          "with more lines until the map holds between its points; contour pictures and the table.",
          parameters(),
          run,
          [](const Case& kase, const Section& section, const Block& study) { read(kase, section, study); },
          false,
          states};
}

}  // namespace polepitch
