// A CSV file that grows by whole rows while a long run lasts: a reader, or a run that is killed, never finds half a
// row.
#pragma once

#include <string>
#include <vector>

#include "post/results.h"

namespace polepitch {

class GrowingCsv {
 public:
  /// Writes the header and the rows that `curve` has, in place of a former file. Throws FileError.
  GrowingCsv(const ResultCurve& curve, const std::string& directory);
  ~GrowingCsv();
  GrowingCsv(const GrowingCsv&) = delete;
  GrowingCsv& operator=(const GrowingCsv&) = delete;

  /// Appends the rows in one piece. Throws FileError (disk full); the file then ends with the row before.
  void append(const std::vector<std::vector<double>>& rows);

 private:
  std::string path_;
  int descriptor_ = -1;
};

}  // namespace polepitch
