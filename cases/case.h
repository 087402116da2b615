// A case: the machine, the materials its regions use, the studies asked for and what to write.
#pragma once

#include <string>
#include <vector>

#include "geometry/machine.h"
#include "solver/material.h"

namespace polepitch {

struct TomlNode;

struct Case {
  std::string path;
  std::string name;  // file name without extension
  std::string title;
  std::string text;  // the file, for reports
  Machine machine;
  Materials materials;         // every material of the library and of the case's own files
  std::vector<Block> studies;  // in file order; path "study 1", type "torque-angle" …
  Block output;                // [output]: field_angles, …
  bool compared = false;       // with close variations, on meshes moved from one: solved further than its error asks
};

/// Reads, checks and fills in defaults. Throws InputError with every fault of the file, FileError when it cannot be
/// read.
Case read_case(const std::string& path);

/// The same from the tree of a file's text, which a variation may have changed.
Case read_case(const TomlNode& root, const std::string& path, const std::string& text);

}  // namespace polepitch
