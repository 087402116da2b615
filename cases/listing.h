// What `polepitch list` tells and `polepitch new` starts from.
#pragma once

#include <string>
#include <utility>
#include <vector>

namespace polepitch {

struct ListEntry {
  std::string name;
  std::string sentence;
  std::string unit = {};  // of a quantity
  bool has_unit = false;  // a quantity, also one that is a pure number
};

const std::vector<std::string>& list_topics();

/// Throws UsageError for a topic that is not there.
std::vector<ListEntry> list_entries(const std::string& topic);

/// A table in two columns.
std::string list_text(const std::vector<ListEntry>& entries);

/// The commented case file of a kind of machine. Throws UsageError for an unknown kind.
std::string starter_case(const std::string& kind);

/// The drawings that such a case names: file name and content.
std::vector<std::pair<std::string, std::string>> starter_drawings(const std::string& kind);

}  // namespace polepitch
