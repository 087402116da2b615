// Every table of the case file in the order of the reference: what the reader reads, the reference prints and the tests
// at the bounds try.
#pragma once

#include <string>
#include <vector>

#include "geometry/parameter.h"

namespace polepitch {

/// Keys at the top of the file.
const std::vector<Parameter>& case_parameters();

/// [output].
const std::vector<Parameter>& output_parameters();

/// Whether a parameter names a material: texts called material, …_material, materials or …_materials do.
bool names_material(const Parameter& parameter);

/// One table of the reference. `type` is the value that `type_key` must have for these parameters to be read.
struct CaseTable {
  std::string header;    // "[stator.slot]"
  std::string path;      // "stator.slot"
  std::string type_key;  // "shape", "type" or ""
  std::string type;      // "round-bottom"
  std::string sentence;
  std::vector<Parameter> parameters;
};

std::vector<CaseTable> case_tables();

}  // namespace polepitch
