#include "post/paraview_script.h"

#include <fmt/format.h>

#include <nlohmann/json.hpp>

#include "post/figure_palette.h"
#include "post/page_assets.h"

namespace polepitch {
namespace {

void fill_in(std::string& script, const std::string& name, const std::string& value) {
  const std::string line = "\n" + name + " = []";
  script.replace(script.find(line), line.size(), "\n" + name + " = " + value);
}

}  // namespace

std::string paraview_script(const std::vector<std::string>& studies) {
  std::string colours;
  constexpr int count = 9;
  for (int k = 0; k < count; ++k) {
    const Colour c = sequential(k / (count - 1.0));
    colours += fmt::format("{}[{:.3f}, {:.3f}, {:.3f}]", k == 0 ? "" : ", ", c.red, c.green, c.blue);
  }
  std::string script{page::paraview_script};
  fill_in(script, "STUDIES", nlohmann::json(studies).dump());  // a list of strings reads the same in Python
  fill_in(script, "PALETTE", "[" + colours + "]");
  return script;
}

}  // namespace polepitch
