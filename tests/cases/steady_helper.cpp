#include "tests/cases/steady_helper.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <stdexcept>

#include "tests/cases/case_text_helper.h"

namespace polepitch {
namespace {

Case read(const std::string& text_or_name) {
  if (text_or_name.find('\n') == std::string::npos)
    return read_case(SOURCE_DIR "/tests/physics/" + text_or_name + ".toml");
  return read_case_text(text_or_name);
}

}  // namespace

SteadyCase::SteadyCase(const std::string& text_or_name, double density, int workers)
    : kase(read(text_or_name)),
      section(draw_section(kase.machine)),
      mesh(mesh_section(section, {density})),
      fields(section, mesh, kase.materials, {}, workers),
      context{kase, section, mesh, fields, "test", [](double) {}} {}

std::string small_salient_machine(bool linear) {
  std::string text = read_text_file(SOURCE_DIR "/tests/physics/salient.toml");
  if (!linear) return text;
  text = replaced(text, "\"M400-50A\"", "\"linear-steel\"");
  text = replaced(text, "\"demo-steel\"", "\"linear-steel\"\nshaft_material = \"linear-steel\"");
  return replaced(text, "coil_span = 5", "coil_span = 6");
}

StudyResult run_study(SteadyCase& machine, size_t index) {
  const Block& study = machine.kase.studies.at(index);
  for (const StudyType& type : study_types())
    if (type.name == study.type) {
      if (type.check) type.check(machine.kase, machine.section, study);
      return type.run(machine.context, study);
    }
  throw std::invalid_argument("no study " + study.type);
}

double value(const StudyResult& result, const std::string& name, const std::string& sense) {
  for (const Quantity& q : result.results.quantities) {
    if (q.name != name) continue;
    const bool fits = sense.empty() || std::any_of(q.at.begin(), q.at.end(), [&](const auto& at) {
                        return at.first == "sense" && at.second == sense;
                      });
    if (fits) return q.value;
  }
  ADD_FAILURE() << "no quantity " << name;
  return 0;
}

std::string study_text(const std::string& type, const std::string& lines) {
  return "\n[[study]]\ntype = \"" + type + "\"\n" + lines;
}

}  // namespace polepitch
