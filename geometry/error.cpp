#include "geometry/error.h"

namespace polepitch {
namespace {

std::string join(const std::vector<Diagnostic>& diagnostics) {
  std::string text;
  for (const Diagnostic& d : diagnostics) text += (text.empty() ? "" : "\n") + to_text(d);
  return text;
}

}  // namespace

std::string to_text(const Diagnostic& diagnostic) {
  std::string text;
  const Place& place = diagnostic.place;
  if (!place.file.empty()) {
    text += place.file + ":";
    if (place.line > 0) text += std::to_string(place.line) + ":";
    if (place.line > 0 && place.column > 0) text += std::to_string(place.column) + ":";
    text += " ";
  }
  text += "error: " + diagnostic.message;
  if (!diagnostic.hint.empty()) text += "\n  hint: " + diagnostic.hint;
  return text;
}

Error::Error(ExitCode code, std::vector<Diagnostic> diagnostics)
    : std::runtime_error(join(diagnostics)), code_(code), diagnostics_(std::move(diagnostics)) {}

Error::Error(ExitCode code, std::string message, std::string hint, Place place)
    : Error(code, std::vector<Diagnostic>{{std::move(place), std::move(message), std::move(hint)}}) {}

}  // namespace polepitch
