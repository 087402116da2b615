#include "tests/cases/steady_helper.h"

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

}  // namespace polepitch
