// docs/case-file.md and docs/material-file.md from the declared parameters.
#pragma once

#include <string>
#include <vector>

namespace polepitch {

/// "case-file", "material-file".
const std::vector<std::string>& reference_topics();

/// The whole reference as Markdown. Throws UsageError when there is none of this name.
std::string reference_text(const std::string& topic);

}  // namespace polepitch
