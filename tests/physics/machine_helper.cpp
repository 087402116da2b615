#include "tests/physics/machine_helper.h"

#include "post/dq.h"
#include "tests/cases/case_text_helper.h"

namespace polepitch::test {

std::string case_text(const std::string& name) {
  return read_text_file(std::string(SOURCE_DIR) + "/tests/physics/" + name + ".toml");
}

std::unique_ptr<TestMachine> make_machine(const std::string& text, double density, const Materials& overriding,
                                          double tolerance) {
  auto machine = std::make_unique<TestMachine>();
  machine->kase = read_case_text(text);
  for (const auto& [name, material] : overriding) machine->kase.materials[name] = material;
  machine->section = draw_section(machine->kase.machine);
  machine->mesh = mesh_section(machine->section, {density, true});
  machine->field = std::make_unique<StaticField>(machine->section, machine->mesh, machine->kase.materials,
                                                 SolverOptions{.tolerance = tolerance});
  return machine;
}

std::unique_ptr<TestMachine> make_machine(const std::string& text, double density) {
  return make_machine(text, density, {});
}

Excitation load_excitation(const Section& section, double rotor_angle) {
  Excitation e = dq_excitation(section, {-15, 30, 0}, field_branch(section) >= 0 ? 8.0 : 0.0, rotor_angle);
  set_bar_currents(e, section, 300, -2.2);
  return e;
}

}  // namespace polepitch::test
