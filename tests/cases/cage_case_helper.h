// The ready cage motor with end rings, as the text of a case without studies. Shared by tests of several studies.
#pragma once

#include <string>

#include "tests/cases/case_text_helper.h"

namespace polepitch {

inline std::string cage_motor() {
  std::string text = read_text_file(SOURCE_DIR "/cases/machines/cage-motor.toml");
  text.resize(text.find("[[study]]"));
  return replaced(text, "bars = 40\n",
                  "bars = 40\nring_height = \"20 mm\"\nring_width = \"16 mm\"\nring_mean_diameter = \"142 mm\"\n");
}

/// The same of demo-steel, which states coefficients of iron loss.
inline std::string cage_motor_with_iron_loss() {
  return replaced(cage_motor(), "\"M400-50A\"", "\"demo-steel\"");
}

}  // namespace polepitch
