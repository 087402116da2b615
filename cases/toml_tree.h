// A TOML file as a plain tree whose nodes know their place. The one user of toml++.
#pragma once

#include <cstdint>
#include <string>
#include <variant>
#include <vector>

#include "geometry/error.h"

namespace polepitch {

struct TomlEntry;

struct TomlNode {
  using Array = std::vector<TomlNode>;
  using Table = std::vector<TomlEntry>;  // in the order of the file
  struct Date {};

  std::variant<Table, Array, std::string, std::int64_t, double, bool, Date> data;
  Place place;  // of the value; of the header of a table

  const Table* table() const { return std::get_if<Table>(&data); }
  const Array* array() const { return std::get_if<Array>(&data); }
  const std::string* text() const { return std::get_if<std::string>(&data); }
  const std::int64_t* integer() const { return std::get_if<std::int64_t>(&data); }
  const double* floating() const { return std::get_if<double>(&data); }
  const bool* flag() const { return std::get_if<bool>(&data); }
};

struct TomlEntry {
  std::string key;
  Place key_place;
  TomlNode value;
};

/// The entry with this key, or null (also when `node` is no table).
const TomlNode* find(const TomlNode& node, const std::string& key);

/// What a node is, in words: "a text", "a table".
std::string describe(const TomlNode& node);

/// The value as it would stand in the file, shortened when it is long.
std::string shown(const TomlNode& node);

/// The whole file as bytes. Throws FileError when it cannot be read.
std::string read_text_file(const std::string& path);

/// Throws InputError with the place of the first fault (syntax, key written twice, text that is not UTF-8).
/// `file` is the name that places carry.
TomlNode parse_toml(const std::string& text, const std::string& file);

}  // namespace polepitch
