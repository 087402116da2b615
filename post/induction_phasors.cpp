#include "post/induction_phasors.h"

namespace polepitch {

PhasorDiagram induction_phasor_diagram(const InductionPhasors& at) {
  using Complex = std::complex<double>;
  constexpr Complex j{0, 1};
  const double u = std::abs(at.voltage);
  const Complex turn = u > 0 ? std::conj(at.voltage) / u : 1.0;  // U onto the real axis
  const Complex i = turn * at.current, rotor = turn * at.rotor_current;
  const Complex r = at.resistance * i, x = j * at.leakage * i, e = u - r - x;
  PhasorDiagram diagram;
  diagram.convention = "Motor reference (IEC 60375): current into the terminal, U = E + R_1 I + jX_1 I";
  diagram.arrows = {
      {"U", "V", 0, u, "terminal voltage of a phase"},
      {"E", "V", 0, e, "EMF of the working wave in the gap"},
      {"R_1 I", "V", e, r, "resistive drop"},
      {"jX_1 I", "V", e + r, x, "drop of the stator's leakage, by the split of the field"},
      {"I", "A", 0, i, "phase current"},
      {"I_2'", "A", i, rotor, "rotor current referred to the stator by its MMF"},
      {"I_m", "A", 0, i + rotor, "magnetising current, the sum of both"},
  };
  return diagram;
}

}  // namespace polepitch
