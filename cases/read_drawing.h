// The drawing that a table of the case names, and the tables that say what its areas are.
#pragma once

#include <string>

#include "cases/block_reader.h"
#include "geometry/catalogue.h"

namespace polepitch {

/// Reads `block`'s file, relative to the case, and its areas. Faults of both are told with the case's others: those in
/// the drawing with its own lines.
void read_drawing(const CatalogueEntry& entry, const TomlNode& table, const std::string& case_path, Block& block,
                  Diagnostics& faults);

/// Paths of the drawings that a case's tables name, as written there.
std::vector<std::string> named_drawings(const TomlNode& root);

}  // namespace polepitch
