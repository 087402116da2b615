// One comma-separated file per curve (RFC 4180): a header of names with units, then numbers that read back bit for bit.
#pragma once

#include <filesystem>
#include <string>
#include <vector>

#include "post/results.h"

namespace polepitch {

/// Text as a field, in quotes where it needs them.
std::string csv_field(const std::string& text);

/// "rotor_angle [deg],torque [N m]\n0,12.5\n…": full precision, point as decimal mark; a missing value (not finite) is
/// an empty field. Throws std::logic_error when the columns differ in length.
std::string csv_text(const ResultCurve& curve);

/// Rows of numbers as csv_text() has them, without a header.
std::string csv_rows(const std::vector<std::vector<double>>& rows);

/// "study_name.csv" of a curve, without characters that a file name must not have.
std::string csv_file_name(const ResultCurve& curve);

/// Writes the curve into `directory` and returns the path. Throws FileError.
std::filesystem::path write_csv(const ResultCurve& curve, const std::filesystem::path& directory);

}  // namespace polepitch
