// Files appear whole or not at all: written under a temporary name in the same directory, then renamed.
#pragma once

#include <functional>
#include <string>
#include <string_view>

namespace polepitch {

/// Creates the directory and its parents. Throws FileError, e.g. when a parent is a file.
void make_directory(const std::string& path);

/// Writes `content` to `path`. Throws FileError (cannot create, disk full, file too large); `path` is then as before.
void write_file(const std::string& path, std::string_view content);

/// The same for writers of libraries that want a file name: `write(temporary)` writes it and throws, or returns false,
/// when it fails. The temporary name keeps the extension of `path`.
void write_file_with(const std::string& path, const std::function<bool(const std::string& temporary)>& write);

/// Writes to an open descriptor (standard output). Throws FileError naming `what`.
void write_descriptor(int descriptor, std::string_view content, const std::string& what);

}  // namespace polepitch
