// Where the material library and the ready cases are: beside the sources, where they were installed, or beside the
// executable.
#pragma once

#include <string>

namespace polepitch {

/// Holds machines/ and materials/. Throws FileError when none of the places has them.
std::string data_directory();

}  // namespace polepitch
