// The lowest layer of a DXF file in ASCII: pairs of lines, a group code and its value; and the entities they make up.
#pragma once

#include <string>
#include <vector>

#include "geometry/error.h"

namespace polepitch {

struct DxfGroup {
  int code = 0;
  std::string text;
  int line = 0;  // of the value, counted from 1
};

/// An entity, table entry or section mark: the group of code 0 and what follows up to the next code 0.
struct DxfRecord {
  std::string type;
  int line = 0;  // of the type
  std::vector<DxfGroup> groups;

  const DxfGroup* find(int code) const;
  std::string text(int code, const std::string& fallback = "") const;
};

/// What is read of a file is checked here; a fault does not stop the rest.
struct DxfFaults {
  std::string path;
  std::vector<Diagnostic> faults;

  void add(int line, std::string message, std::string hint = "");
  /// A finite number; 0 with a fault when the group holds none.
  double number(const DxfGroup& group);
  /// The number of the first group with this code, or the fallback.
  double number(const DxfRecord& record, int code, double fallback = 0);
  int integer(const DxfRecord& record, int code, int fallback = 0);
  /// A whole number within ±10⁹; 0 with a fault when the group holds none.
  int integer(const DxfGroup& group);
};

/// The whole file as records. A file that is no DXF, a binary one and one that is cut off throw InputError with the
/// line. Comments (code 999) are left out; texts that are not UTF-8 are taken as Latin-1.
std::vector<DxfRecord> dxf_records(const std::string& text, const std::string& path);

}  // namespace polepitch
