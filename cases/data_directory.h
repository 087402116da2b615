// Where the material library and the ready cases are: in share/ beside the executable's folder, so that an installed
// program uses what was installed with it; else beside the sources; else where an installation was configured to go.
#pragma once

#include <string>

namespace polepitch {

/// Holds machines/ and materials/. Throws FileError when none of the places has them.
std::string data_directory();

}  // namespace polepitch
