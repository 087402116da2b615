// The one family of errors: what went wrong, where, what to do about it, and the exit code that says so.
#pragma once

#include <stdexcept>
#include <string>
#include <utility>
#include <vector>

namespace polepitch {

enum class ExitCode {
  ok = 0,
  internal = 1,
  usage = 2,
  input = 3,
  geometry = 4,
  not_converged = 5,
  some_points_failed = 6,
  files = 7,
};

/// A place in a text file; line and column count from 1, 0 means "unknown".
struct Place {
  std::string file;
  int line = 0;
  int column = 0;
};

/// One fault in the user's words. `hint` says what to do and may be empty.
struct Diagnostic {
  Place place;
  std::string message;
  std::string hint;
};

/// "machine.toml:12:7: error: message\n  hint: …"; what is unknown of the place is left out.
std::string to_text(const Diagnostic& diagnostic);

class Error : public std::runtime_error {
 public:
  Error(ExitCode code, std::vector<Diagnostic> diagnostics);
  Error(ExitCode code, std::string message, std::string hint = "", Place place = {});

  ExitCode code() const { return code_; }
  const std::vector<Diagnostic>& diagnostics() const { return diagnostics_; }

 private:
  ExitCode code_;
  std::vector<Diagnostic> diagnostics_;
};

struct UsageError : Error {
  explicit UsageError(std::string message, std::string hint = "")
      : Error(ExitCode::usage, std::move(message), std::move(hint)) {}
};
struct InputError : Error {
  explicit InputError(std::vector<Diagnostic> diagnostics) : Error(ExitCode::input, std::move(diagnostics)) {}
  explicit InputError(std::string message, std::string hint = "", Place place = {})
      : Error(ExitCode::input, std::move(message), std::move(hint), std::move(place)) {}
};
struct GeometryError : Error {
  explicit GeometryError(std::string message, std::string hint = "", Place place = {})
      : Error(ExitCode::geometry, std::move(message), std::move(hint), std::move(place)) {}
};
struct ConvergenceError : Error {
  explicit ConvergenceError(std::string message, std::string hint = "")
      : Error(ExitCode::not_converged, std::move(message), std::move(hint)) {}
};
struct FileError : Error {
  explicit FileError(std::string message, std::string hint = "")
      : Error(ExitCode::files, std::move(message), std::move(hint)) {}
};

}  // namespace polepitch
