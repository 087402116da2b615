// The phasor diagram of a load point kept as data: arrows with names and units, r.m.s., the terminal voltage on the
// real axis. Voltages and drops form a closed chain; the picture is drawn from these numbers.
#pragma once

#include <complex>
#include <optional>
#include <string>
#include <vector>

namespace polepitch {

struct PhasorArrow {
  std::string name;              // as the picture shows it: "U", "jX_d I_d"
  std::string unit;              // "V" or "A"
  std::complex<double> from{};   // where the arrow starts, in `unit`
  std::complex<double> value{};  // r.m.s.
  std::string meaning;           // one phrase
};

struct PhasorDiagram {
  std::string study;
  std::string name = "phasors";       // file name is study_name.png
  std::string title;                  // a sentence for the picture
  std::string convention;             // reference of current and power, and what the axes are
  std::optional<double> q_axis = {};  // rad, of the q-axis on the page; none of a rotor that slips
  std::vector<PhasorArrow> arrows;
};

/// What the diagram is made of: r.m.s., in the rotor's dq frame as d + jq, current into the terminal.
struct LoadPhasors {
  std::complex<double> voltage, current;
  double resistance = 0, x_d = 0, x_q = 0;  // ohm
  double no_load_emf = 0;                   // V, at the same field, on the q-axis
  bool generator = false;                   // current and drops of the generator reference: out of the terminal
};

/// U = E + R I + jX_d I_d + jX_q I_q of a motor, E = U + R I + jX_d I_d + jX_q I_q of a generator. E is what closes the
/// chain: with the reactances of the field frozen at the load point it is that field's own EMF, cross magnetisation
/// included, so it may lean a little off the q-axis. The flux linkage is drawn as the EMF jω λ behind the resistance.
PhasorDiagram phasor_diagram(const LoadPhasors& load);

}  // namespace polepitch
