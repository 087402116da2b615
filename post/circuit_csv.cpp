#include <fmt/format.h>

#include "post/circuit_files.h"
#include "post/csv_file.h"
#include "post/text_lines.h"

namespace polepitch {
namespace {

std::string or_empty(const std::optional<double>& value) {
  return value ? fmt::format("{}", *value) : "";
}

void add_state(const CircuitState& state, std::string& text) {
  for (const CircuitParameter& p : state.parameters)
    text += fmt::format("{},{},{},{},{},{},{},{}\n", p.symbol, p.value, p.unit, or_empty(p.per_unit), or_empty(p.error),
                        state.study, csv_field(state.at), csv_field(p.meaning));
}

CircuitFile map_file(const CircuitModel& model, const CircuitMap& entry, int number) {
  const FluxMap& map = entry.result.map;
  ResultCurve table;
  table.columns = {{"i_d", "A", {}},
                   {"i_q", "A", {}},
                   {"i_field", "A", {}},
                   {"lambda_d", "Wb", map.lambda_d},
                   {"lambda_q", "Wb", map.lambda_q},
                   {"lambda_field", "Wb", map.lambda_f},
                   {"torque", "N m", map.torque}};
  for (double f : map.i_f)
    for (double q : map.i_q)
      for (double d : map.i_d) {
        table.columns[0].values.push_back(d);
        table.columns[1].values.push_back(q);
        table.columns[2].values.push_back(f);
      }
  return {fmt::format("flux_map_{}.csv", number), commented("# ", circuit_conventions(model)) + csv_text(table)};
}

CircuitFile inverse_file(const CircuitModel& model, const InverseMap& map, int number) {
  ResultCurve table;
  table.columns = {{"lambda_d", "Wb", {}}, {"lambda_q", "Wb", {}}, {"i_d", "A", map.i_d}, {"i_q", "A", map.i_q}};
  for (double q : map.lambda_q)
    for (double d : map.lambda_d) {
      table.columns[0].values.push_back(d);
      table.columns[1].values.push_back(q);
    }
  return {
      fmt::format("inverse_map_{}.csv", number),
      commented("# ", circuit_conventions(model)) + fmt::format("# Field current {} A.\n", map.i_f) + csv_text(table)};
}

}  // namespace

std::vector<CircuitFile> csv_files(const CircuitModel& model) {
  std::string text =
      commented("# ", circuit_conventions(model)) + "symbol,value,unit,per_unit,error,study,at,meaning\n";
  add_state(model.winding, text);
  for (const CircuitState& state : model.states) add_state(state, text);
  for (const CircuitState& circuit : model.induction) add_state(circuit, text);
  std::vector<CircuitFile> files = {{"parameters.csv", text}};
  int maps = 0, inverses = 0;
  for (const CircuitMap& map : model.maps) {
    files.push_back(map_file(model, map, ++maps));
    for (const InverseMap& inverse : map.inverse) files.push_back(inverse_file(model, inverse, ++inverses));
  }
  return files;
}

}  // namespace polepitch
