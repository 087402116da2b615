// A small invented machine as the text of a case file, and ways to change it. Shared by two test programs, so inline.
#pragma once

#include <stdlib.h>

#include <algorithm>
#include <filesystem>
#include <fstream>
#include <map>
#include <stdexcept>
#include <string>

#include "cases/case.h"
#include "cases/toml_tree.h"

namespace polepitch {

/// Invented 4-pole salient machine with 36 slots that passes `polepitch check`; no study.
inline std::string small_case() {
  return read_text_file(std::string(SOURCE_DIR) + "/tests/faults/base.toml");
}

/// `text` with the first occurrence of `from` replaced; throws when it does not occur.
inline std::string replaced(std::string text, const std::string& from, const std::string& to) {
  const auto at = text.find(from);
  if (at == std::string::npos) throw std::invalid_argument("the text has no \"" + from + "\"");
  return text.replace(at, from.size(), to);
}

/// Line (from 1) of the first occurrence.
inline int line_of(const std::string& text, const std::string& part) {
  const auto at = text.find(part);
  if (at == std::string::npos) throw std::invalid_argument("the text has no \"" + part + "\"");
  return 1 + static_cast<int>(std::count(text.begin(), text.begin() + static_cast<std::ptrdiff_t>(at), '\n'));
}

/// A fresh directory under the system's temporary one, removed at the end.
class FreshDirectory {
 public:
  FreshDirectory() : path_((std::filesystem::temp_directory_path() / "polepitch-XXXXXX").string()) {
    if (mkdtemp(path_.data()) == nullptr) throw std::runtime_error("cannot create a temporary directory");
  }
  ~FreshDirectory() {
    std::error_code status;
    std::filesystem::remove_all(path_, status);
  }
  FreshDirectory(const FreshDirectory&) = delete;
  FreshDirectory& operator=(const FreshDirectory&) = delete;
  std::string operator/(const std::string& name) const { return path_ + "/" + name; }
  const std::string& path() const { return path_; }

 private:
  std::string path_;
};

inline void write_text(const std::string& path, const std::string& text) {
  std::ofstream stream(path, std::ios::binary);
  stream << text;
  if (!stream.flush()) throw std::runtime_error("cannot write " + path);
}

/// Writes the text (and further files beside it) to a fresh directory and reads it.
inline Case read_case_text(const std::string& text, const std::map<std::string, std::string>& beside = {}) {
  const FreshDirectory directory;
  for (const auto& [name, content] : beside) write_text(directory / name, content);
  write_text(directory / "machine.toml", text);
  return read_case(directory / "machine.toml");
}

}  // namespace polepitch
