// Machines of the catalogue, read from a case file, drawn, meshed and posed.
#pragma once

#include <memory>
#include <string>

#include "cases/case.h"
#include "solver/static_field.h"

namespace polepitch::test {

struct TestMachine {
  Case kase;
  Section section;
  Mesh mesh;
  std::unique_ptr<StaticField> field;
};

/// The text of tests/physics/<name>.toml.
std::string case_text(const std::string& name);

/// Heap, since the field keeps references to section and mesh. Newton to 1e-10, so that identities show.
std::unique_ptr<TestMachine> make_machine(const std::string& text, double density);
std::unique_ptr<TestMachine> make_machine(const std::string& text, double density, const Materials& overriding,
                                          double tolerance = 1e-10);

/// Currents of every kind that the machine has: i_d and i_q in its phases, i_f in its field winding, bars against the
/// phases. Instantaneous values that stay as they are when only the rotor angle is changed.
Excitation load_excitation(const Section& section, double rotor_angle);

}  // namespace polepitch::test
