#include "post/results.h"

#include <fmt/format.h>

namespace polepitch {

std::string error_text(double error) {
  return fmt::format("± {:g}", std::stod(fmt::format("{:.0e}", error)));
}

}  // namespace polepitch
