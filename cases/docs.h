// docs/case-file.md from the declared parameters.
#pragma once

#include <string>

namespace polepitch {

/// The whole reference as Markdown.
std::string case_file_reference();

}  // namespace polepitch
