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

}  // namespace polepitch
