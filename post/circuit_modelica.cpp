// Modelica: records of the parameters, and the maps as a text file of tables (Modelica Language Specification; the
// table format of the Modelica Standard Library's Blocks.Tables: "#1", then "double name(rows,columns)").
#include <fmt/format.h>

#include <cctype>

#include "post/circuit_files.h"
#include "post/text_lines.h"

namespace polepitch {
namespace {

std::string quoted(const std::string& text) {
  std::string out = "\"";
  for (char c : text) {
    if (c == '"' || c == '\\') out += '\\';
    out += c;
  }
  return out + '"';
}

const char* si_type(const std::string& unit) {
  if (unit == "ohm") return "Real(unit=\"Ohm\")";
  if (unit == "H") return "Real(unit=\"H\")";
  if (unit == "Hz") return "Real(unit=\"Hz\")";
  if (unit == "s") return "Real(unit=\"s\")";
  return "Real";
}

std::string record(const std::string& name, const CircuitState& state, const std::string& words) {
  std::string text = fmt::format("  record {} {}\n", name, quoted(words));
  for (const CircuitParameter& p : state.parameters)
    text += fmt::format("    parameter {} {} = {} {};\n", si_type(p.unit), p.symbol, p.value, quoted(p.meaning));
  return text + fmt::format("  end {};\n", name);
}

/// First column u1 = x, first row u2 = y.
template <class Value>
std::string table(const std::string& name, const std::vector<double>& x, const std::vector<double>& y,
                  const std::string& words, Value value) {
  std::string text = fmt::format("# {}\ndouble {}({},{})\n0", words, name, x.size() + 1, y.size() + 1);
  for (double v : y) text += fmt::format(" {}", v);
  for (size_t i = 0; i < x.size(); ++i) {
    text += fmt::format("\n{}", x[i]);
    for (size_t j = 0; j < y.size(); ++j) text += fmt::format(" {}", value(i, j));
  }
  return text + "\n";
}

void add_map(const CircuitMap& entry, int number, int& inverses, std::string& text) {
  const FluxMap& map = entry.result.map;
  for (size_t f = 0; f < map.i_f.size(); ++f) {
    const auto add = [&](const char* what, const char* unit, const std::vector<double>& values) {
      text += table(fmt::format("{}_{}_{}", what, number, f + 1), map.i_d, map.i_q,
                    fmt::format("{} [{}], u1 = i_d [A], u2 = i_q [A], field current {} A", what, unit, map.i_f[f]),
                    [&](size_t d, size_t q) { return values[map.at(d, q, f)]; });
    };
    add("lambda_d", "Wb", map.lambda_d);
    add("lambda_q", "Wb", map.lambda_q);
    add("lambda_field", "Wb", map.lambda_f);
    add("torque", "N m", map.torque);
  }
  for (const InverseMap& inverse : entry.inverse) {
    const size_t n = inverse.lambda_d.size();
    ++inverses;
    for (const auto& [what, values] : {std::pair{"i_d", &inverse.i_d}, std::pair{"i_q", &inverse.i_q}})
      text +=
          table(fmt::format("{}_{}", what, inverses), inverse.lambda_d, inverse.lambda_q,
                fmt::format("{} [A], u1 = lambda_d [Wb], u2 = lambda_q [Wb], field current {} A", what, inverse.i_f),
                [&, v = values](size_t d, size_t q) { return (*v)[q * n + d]; });
  }
}

}  // namespace

std::vector<CircuitFile> modelica_files(const CircuitModel& model) {
  std::string text = fmt::format("package MachineData {}\n", quoted(model.title.empty() ? model.machine : model.title));
  text += commented("  // ", circuit_conventions(model)) + "  // Written by the program and not compiled by it.\n";
  text += fmt::format(
      "  record Machine \"Winding and base\"\n    parameter Integer phases = {};\n"
      "    parameter Integer polePairs = {};\n",
      model.phases, model.pole_pairs);
  if (model.base)
    text += fmt::format(
        "    parameter Real(unit=\"V.A\") basePower = {};\n    parameter Real(unit=\"V\") baseVoltage = {};\n"
        "    parameter Real(unit=\"A\") baseCurrent = {};\n"
        "    parameter Real(unit=\"rad/s\") baseOmega = {};\n",
        model.base->power, model.base->voltage, model.base->current, model.base->omega);
  for (const CircuitParameter& p : model.winding.parameters)
    text += fmt::format("    parameter {} {} = {} {};\n", si_type(p.unit), p.symbol, p.value, quoted(p.meaning));
  text += "  end Machine;\n";
  int number = 0;
  for (const CircuitState& state : model.states)
    text += record(fmt::format("State{}", ++number), state, fmt::format("Study {} at {}", state.study, state.at));
  number = 0;
  for (const CircuitState& circuit : model.induction)
    text +=
        record(fmt::format("Induction{}", ++number), circuit, fmt::format("Study {}: {}", circuit.study, circuit.at));
  std::vector<CircuitFile> files = {{"machine_data.mo", text + "end MachineData;\n"}};
  if (model.maps.empty()) return files;
  std::string maps = "#1\n" + commented("# ", circuit_conventions(model));
  int inverses = 0;
  number = 0;
  for (const CircuitMap& map : model.maps) add_map(map, ++number, inverses, maps);
  files.push_back({"flux_maps.txt", maps});
  return files;
}

}  // namespace polepitch
