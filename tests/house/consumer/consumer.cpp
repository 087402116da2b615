// What another project would do with the installed libraries: read a case, draw its section, ask the winding.
#include <cmath>
#include <iostream>

#include "cases/case.h"
#include "geometry/section.h"

int main(int, char** argv) {
  const polepitch::Case kase = polepitch::read_case(argv[1]);
  const polepitch::Section section = polepitch::draw_section(kase.machine);
  const double factor = std::abs(polepitch::winding_factor(section.winding, section.pole_pairs));
  std::cout << kase.name << ": " << section.winding.slots << " slots, winding factor " << factor << '\n';
  // True of any three-phase winding with a fundamental; it is 1 with one full-pitch slot a pole and phase.
  return factor > 0.5 && factor <= 1 ? 0 : 1;
}
