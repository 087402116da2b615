// Bytes as text (RFC 4648, section 4).
#pragma once

#include <string>
#include <string_view>

namespace polepitch {

std::string base64(std::string_view bytes);

/// The bytes of numbers as they lie in memory (little-endian on every machine that Debian builds for amd64 and arm64).
template <class T>
std::string base64_of(const T* values, std::size_t count) {
  return base64({reinterpret_cast<const char*>(values), count * sizeof(T)});
}

}  // namespace polepitch
