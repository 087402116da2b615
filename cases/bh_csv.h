// A user's B–H table as CSV: a header line with the columns H_A_per_m and B_T in any order (further columns are left
// alone), then one row a line, starting at the origin; comma between columns, decimal point, "#" starts a comment line.
#pragma once

#include <string>
#include <vector>

namespace polepitch {

struct BhTable {
  std::vector<double> b, h;  // T, A/m
};

/// Throws InputError with every fault and its line, and the column of a field that is no number (not a number, missing
/// column, wrong encoding, not rising, slope under that of vacuum, too few rows), FileError when the file cannot be
/// read.
BhTable read_bh_csv(const std::string& path);

}  // namespace polepitch
