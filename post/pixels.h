// A picture as an array of pixels: what an animation is coded from.
#pragma once

#include <cstdint>
#include <vector>

namespace polepitch {

struct Pixels {
  int width = 0, height = 0;
  std::vector<std::uint32_t> rgb;  // 0xRRGGBB, row by row from the top
};

}  // namespace polepitch
