// SPICE subcircuits. Linkages are voltages of 1 F capacitors, so that nothing is differentiated.
#include <fmt/format.h>

#include <algorithm>
#include <array>

#include "post/circuit_files.h"
#include "post/map_grid.h"
#include "post/spice_text.h"

namespace polepitch {
namespace {

/// The code model goes straight between the points of its tables: this many lines keep that below 1e-4.
constexpr int kLines = 161;

/// A table of the two-dimensional code model: columns are i_d (or λ_d), rows i_q (or λ_q).
template <class Value>
std::string table(const std::vector<double>& x, const std::vector<double>& y, const std::string& words, Value value) {
  std::string text = fmt::format(
      "* {}\n* columns\n{}\n* rows\n{}\n* values along columns\n{:.17g}\n* values along rows\n"
      "{:.17g}\n* table\n",
      words, x.size(), y.size(), fmt::join(x, " "), fmt::join(y, " "));
  for (size_t row = 0; row < y.size(); ++row) {
    for (size_t column = 0; column < x.size(); ++column)
      text += fmt::format("{}{:.10g}", column ? " " : "", value(column, row));
    text += '\n';
  }
  return text;
}

void add_map(const CircuitModel& model, const CircuitMap& entry, const InverseMap& inverse, const std::string& name,
             double resistance, std::vector<CircuitFile>& files) {
  const FluxMap& map = entry.result.map;
  const FluxMapSurface surface(map);
  const FluxMapPoint rest = surface.at(0, 0, inverse.i_f);
  std::string text = spice_header(
      model, fmt::format("saturated flux map of study {}, field current {:.6g} A", entry.result.study, inverse.i_f));
  text += fmt::format(
      "* Between its points the map is within {:.2g} of the field's largest linkage and {:.2g} of its "
      "largest torque;\n* the inverse is within {:.2g}. Beyond the tables the last value holds.\n",
      entry.result.linkage_error, entry.result.torque_error, inverse.error);
  text += fmt::format(".subckt {} {} speed torque params: rs={:.17g} theta0=0 psid0={:.17g} psiq0={:.17g}\n", name,
                      spice_terminals(model), resistance, rest.lambda_d, rest.lambda_q);
  text += spice_frame(model);
  const auto add_table = [&](const char* what, const char* in, const char* out, const std::string& content) {
    const std::string file = fmt::format("{}_{}.tab", name, what);
    text += fmt::format("A{} {} {} tab_{}\n.model tab_{} table2d (offset=0 gain=1 order=3 file=\"{}\")\n", what, in,
                        out, what, what, file);
    files.push_back({file, content});
  };
  const size_t n = inverse.lambda_d.size();
  add_table("id", "%v(psid) %v(psiq)", "%v(id)",
            table(inverse.lambda_d, inverse.lambda_q, "i_d [A] over lambda_d (columns) and lambda_q (rows) [Wb]",
                  [&](size_t d, size_t q) { return inverse.i_d[q * n + d]; }));
  add_table("iq", "%v(psid) %v(psiq)", "%v(iq)",
            table(inverse.lambda_d, inverse.lambda_q, "i_q [A] over lambda_d (columns) and lambda_q (rows) [Wb]",
                  [&](size_t d, size_t q) { return inverse.i_q[q * n + d]; }));
  const std::vector<double> i_d = equal_lines(map.i_d.front(), map.i_d.back(), kLines),
                            i_q = equal_lines(map.i_q.front(), map.i_q.back(), kLines);
  add_table("torque", "%v(id) %v(iq)", "%v(torque)",
            table(i_d, i_q, "torque [N m] over i_d (columns) and i_q (rows) [A]",
                  [&](size_t d, size_t q) { return surface.at(i_d[d], i_q[q], inverse.i_f).torque; }));
  text += fmt::format(".ends {}\n", name);
  files.push_back({name + ".cir", text});
  // For circuits that have currents as states.
  files.push_back({name + "_lambda_d.tab",
                   table(i_d, i_q, "lambda_d [Wb] over i_d (columns) and i_q (rows) [A]",
                         [&](size_t d, size_t q) { return surface.at(i_d[d], i_q[q], inverse.i_f).lambda_d; })});
  files.push_back({name + "_lambda_q.tab",
                   table(i_d, i_q, "lambda_q [Wb] over i_d (columns) and i_q (rows) [A]",
                         [&](size_t d, size_t q) { return surface.at(i_d[d], i_q[q], inverse.i_f).lambda_q; })});
  if (map.i_f.size() > 1)
    files.push_back({name + "_lambda_f.tab",
                     table(i_d, i_q, "lambda_f [Wb] over i_d (columns) and i_q (rows) [A]",
                           [&](size_t d, size_t q) { return surface.at(i_d[d], i_q[q], inverse.i_f).lambda_f; })});
}

/// λ_d = L_d i_d + L_df i_f, λ_f = (m/2) L_df i_d + L_ff i_f, turned round.
CircuitFile linear(const CircuitModel& model, const CircuitState& state, const std::string& name, double rs,
                   double rf) {
  const double w = model.base->omega;
  const double ld = state.value("X_d_apparent") / w, lq = state.value("X_q_apparent") / w,
               ldf = state.value("X_df") / w, lff = state.value("L_ff");
  const double det = ld * lff - 0.5 * model.phases * ldf * ldf;
  std::string text = spice_header(model, fmt::format("constant inductances of study {} at {}", state.study, state.at));
  text += "* f1 f2: terminals of the field winding.\n";
  text += fmt::format(
      ".subckt {} {} f1 f2 speed torque params: rs={:.17g} rf={:.17g} theta0=0 psid0=0 psiq0=0 "
      "psif0=0\n",
      name, spice_terminals(model), rs, rf);
  text += spice_frame(model);
  text += fmt::format("Bid id 0 V={:.17g}*V(psid)-{:.17g}*V(psif)\n", lff / det, ldf / det);
  text += fmt::format("Biq iq 0 V={:.17g}*V(psiq)\n", 1 / lq);
  text += fmt::format("Bif if 0 V={:.17g}*V(psif)-{:.17g}*V(psid)\n", ld / det, 0.5 * model.phases * ldf / det);
  text += "Bpsif 0 psif I=V(f1,f2)-{rf}*V(if)\nCpsif psif 0 1 ic={psif0}\nBf f1 f2 I=V(if)\nRf f1 f2 1e9\n";
  text += fmt::format("Btorque torque 0 V={:.17g}*(V(psid)*V(iq)-V(psiq)*V(id))\n.ends {}\n",
                      0.5 * model.phases * model.pole_pairs, name);
  return {name + ".cir", text};
}

}  // namespace

std::vector<CircuitFile> spice_files(const CircuitModel& model) {
  std::vector<CircuitFile> files;
  const CircuitParameter *rs = model.winding.find("R_phase"), *rf = model.winding.find("R_field");
  if (model.phases != 3) return files;
  if (!rs) return spice_induction_files(model);
  int number = 0, wound = 0;
  for (const CircuitMap& map : model.maps) {
    const int first = number + 1;
    const std::vector<InverseMap> inverses = inverse_maps(map.result.map, kLines);
    for (const InverseMap& inverse : inverses)
      add_map(model, map, inverse, fmt::format("machine_map_{}", ++number), rs->value, files);
    if (rf && inverses.size() > 1 && inverses.size() == map.result.map.i_f.size())
      files.push_back(spice_field_file(model, map, ++wound, first, rs->value, rf->value));
  }
  number = 0;
  for (const CircuitState& state : model.states)
    if (model.base && rf && state.find("L_ff") && state.find("X_q_apparent"))
      files.push_back(linear(model, state, fmt::format("machine_linear_{}", ++number), rs->value, rf->value));
  for (CircuitFile& file : spice_dynamic_files(model)) files.push_back(std::move(file));
  for (CircuitFile& file : spice_induction_files(model)) files.push_back(std::move(file));
  return files;
}

}  // namespace polepitch
