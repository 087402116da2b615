#include "post/spice_text.h"

#include <fmt/format.h>

#include "post/text_lines.h"

namespace polepitch {

std::string spice_header(const CircuitModel& model, const std::string& what) {
  return fmt::format("* {}: {}\n", model.title.empty() ? model.machine : model.title, what) +
         commented("* ", circuit_conventions(model)) +
         (model.star ? "* Pins: a b c n (star)"
                     : "* Pins: a b c (delta: phases a-b, b-c, c-a; no current round the delta)") +
         ", speed (V = rad/s, mechanical), torque (V = N m, at least 1 kohm of load).\n"
         "* Start a transient with uic; an inertia is a capacitor at the speed pin fed by the torque.\n";
}

std::array<std::array<char, 2>, 3> spice_phase_ends(bool star) {
  using Ends = std::array<std::array<char, 2>, 3>;
  return star ? Ends{{{'a', 'n'}, {'b', 'n'}, {'c', 'n'}}} : Ends{{{'a', 'b'}, {'b', 'c'}, {'c', 'a'}}};
}

const char* spice_terminals(const CircuitModel& model) {
  return model.star ? "a b c n" : "a b c";
}

std::string spice_frame(const CircuitModel& model, const std::string& psid0, const std::string& psiq0) {
  constexpr std::array<const char*, 3> kAxes = {"", "-2.0943951023931953", "+2.0943951023931953"};
  const auto ends = spice_phase_ends(model.star);
  std::string d, q, phases;
  for (size_t k = 0; k < 3; ++k) {
    const auto [from, to] = ends[k];
    const std::string angle = fmt::format("(V(theta){})", kAxes[k]);
    d += fmt::format("{}V({},{})*cos{}", k ? "+" : "", from, to, angle);
    q += fmt::format("{}V({},{})*sin{}", k ? "+" : "", from, to, angle);
    phases += fmt::format("Bi{0} {0} {1} I=V(id)*cos{2}-V(iq)*sin{2}\nR{0} {0} {1} 1e9\n", from, to, angle);
  }
  return fmt::format(R"(Btheta 0 theta I={0}*V(speed)
Ctheta theta 0 1 ic={{theta0}}
Bvd vd 0 V=0.66666666666666667*({1})
Bvq vq 0 V=-0.66666666666666667*({2})
Bpsid 0 psid I=V(vd)-{{rs}}*V(id)+{0}*V(speed)*V(psiq)
Cpsid psid 0 1 ic={{{4}}}
Bpsiq 0 psiq I=V(vq)-{{rs}}*V(iq)-{0}*V(speed)*V(psid)
Cpsiq psiq 0 1 ic={{{5}}}
{3}Rspeed speed 0 1e12
)",
                     model.pole_pairs, d, q, phases, psid0, psiq0);
}

}  // namespace polepitch
