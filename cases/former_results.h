// Files that an earlier run of the program left in its directory: a new run takes them away first, so that what stands
// there afterwards belongs together.
#pragma once

#include <string>

namespace polepitch {

/// Removes summary.json, section.*, mesh.* and every file that begins with a study's name (also in field/); nothing
/// else. Throws FileError.
void remove_former_results(const std::string& directory);

}  // namespace polepitch
