// Materials from TOML files, one material a file, named after the file: "M400-50A.toml" is the material "M400-50A".
#pragma once

#include <string>
#include <vector>

#include "geometry/parameter.h"
#include "solver/material.h"

namespace polepitch {

/// Keys at the top of a material file, and those of its table [iron_loss].
const std::vector<Parameter>& material_parameters();
const std::vector<Parameter>& iron_loss_parameters();

/// Throws InputError with every fault of the file (and of the B–H table it names, whose path is relative to it),
/// FileError when it cannot be read.
Material read_material_file(const std::string& path);

/// Every material of the library (data_directory()/materials).
Materials load_material_library();

}  // namespace polepitch
