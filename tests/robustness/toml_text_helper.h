// A tree of TOML as text again.
#pragma once

#include <string>

#include "cases/toml_tree.h"

namespace polepitch {

/// Keys first, then the tables under `path`, then the lists of tables.
std::string table_text(const TomlNode& table, const std::string& path);

}  // namespace polepitch
