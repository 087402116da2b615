#include "post/phasor_diagram.h"

#include <cmath>

namespace polepitch {

PhasorDiagram phasor_diagram(const LoadPhasors& load) {
  using Complex = std::complex<double>;
  constexpr Complex j{0, 1};
  const double u = std::abs(load.voltage);
  const Complex turn = u > 0 ? std::conj(load.voltage) / u : Complex{0, -1};  // dq frame → U on the real axis
  const Complex i = load.generator ? -load.current : load.current;
  const Complex i_d = turn * i.real(), i_q = turn * j * i.imag();
  const Complex r = load.resistance * (i_d + i_q), d = j * load.x_d * i_d, q = j * load.x_q * i_q;
  const Complex e = load.generator ? u + r + d + q : u - r - d - q;
  const Complex start = load.generator ? Complex{u} : e;  // of the drops
  PhasorDiagram diagram;
  diagram.q_axis = std::arg(j * turn);
  diagram.convention =
      load.generator ? "Generator reference (IEC 60375): current out of the terminal, E = U + R I + jX_d I_d + jX_q I_q"
                     : "Motor reference (IEC 60375): current into the terminal, U = E + R I + jX_d I_d + jX_q I_q";
  diagram.arrows = {
      {"U", "V", 0, u, "terminal voltage of a phase"},
      {"E", "V", 0, e, "EMF of the field, frozen at the load point"},
      {"R I", "V", start, r, "resistive drop"},
      {"jX_d I_d", "V", start + r, d, "reactive drop of the d-axis current, frozen reluctivity"},
      {"jX_q I_q", "V", start + r + d, q, "reactive drop of the q-axis current, frozen reluctivity"},
      {"E_λ", "V", 0, load.generator ? u + r : u - r, "EMF of the whole flux linkage, behind the resistance"},
      {"E_0", "V", 0, load.no_load_emf * turn * j, "phase voltage on no load with the same field"},
      {"I", "A", 0, i_d + i_q, "phase current"},
      {"I_d", "A", 0, i_d, "d-axis part of the current"},
      {"I_q", "A", i_d, i_q, "q-axis part of the current"},
  };
  return diagram;
}

}  // namespace polepitch
