// Pictures of one size as an animated GIF (GIF89a) that plays for ever. The one user of giflib.
#pragma once

#include <string>
#include <vector>

#include "post/pixels.h"

namespace polepitch {

/// The bytes of the file. One palette serves all frames, the commonest colours of them all, so that what stands still
/// keeps its colour; of each frame after the first the rectangle that changed is written. `milliseconds` a frame; GIF
/// counts hundredths of a second. Throws FileError when giflib refuses and std::logic_error when sizes differ.
std::string gif_bytes(const std::vector<Pixels>& frames, int milliseconds);

}  // namespace polepitch
