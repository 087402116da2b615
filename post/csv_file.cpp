#include "post/csv_file.h"

#include <cctype>
#include <charconv>
#include <cmath>
#include <stdexcept>

#include "post/atomic_file.h"

namespace polepitch {
namespace {

void append_number(std::string& out, double value) {
  if (!std::isfinite(value)) return;
  char buffer[40];
  const auto end = std::to_chars(buffer, buffer + sizeof buffer, value);  // shortest that reads back exactly
  out.append(buffer, end.ptr);
}

template <class Cell>
void append_row(std::string& out, std::size_t columns, Cell cell) {
  for (std::size_t c = 0; c < columns; ++c) {
    if (c > 0) out += ',';
    append_number(out, cell(c));
  }
  out += '\n';
}

}  // namespace

std::string csv_field(const std::string& text) {
  if (text.find_first_of(",\"\r\n") == std::string::npos) return text;
  std::string out = "\"";
  for (char c : text) {
    if (c == '"') out += '"';
    out += c;
  }
  return out + '"';
}

std::string csv_text(const ResultCurve& curve) {
  std::string out;
  const std::size_t rows = curve.columns.empty() ? 0 : curve.columns.front().values.size();
  for (std::size_t c = 0; c < curve.columns.size(); ++c) {
    const Column& column = curve.columns[c];
    if (column.values.size() != rows)
      throw std::logic_error("curve '" + curve.name + "': column '" + column.name + "' has another length");
    if (c > 0) out += ',';
    out += csv_field(column.unit.empty() ? column.name : column.name + " [" + column.unit + "]");
  }
  out += '\n';
  for (std::size_t r = 0; r < rows; ++r)
    append_row(out, curve.columns.size(), [&](std::size_t c) { return curve.columns[c].values[r]; });
  return out;
}

std::string csv_rows(const std::vector<std::vector<double>>& rows) {
  std::string out;
  for (const std::vector<double>& row : rows) append_row(out, row.size(), [&](std::size_t c) { return row[c]; });
  return out;
}

std::string csv_file_name(const ResultCurve& curve) {
  std::string name = curve.study.empty() ? curve.name : curve.study + "_" + curve.name;
  for (char& c : name)
    if (!std::isalnum(static_cast<unsigned char>(c)) && c != '-' && c != '_' && c != '.') c = '_';
  return name + ".csv";
}

std::filesystem::path write_csv(const ResultCurve& curve, const std::filesystem::path& directory) {
  const std::filesystem::path path = directory / csv_file_name(curve);
  write_file(path.string(), csv_text(curve));
  return path;
}

}  // namespace polepitch
