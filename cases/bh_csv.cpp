#include "cases/bh_csv.h"

#include <algorithm>
#include <charconv>
#include <cmath>
#include <string_view>

#include <fmt/format.h>

#include "cases/toml_tree.h"
#include "solver/bh_curve.h"

namespace polepitch {
namespace {

constexpr std::string_view header_hint = "the header is H_A_per_m,B_T";
constexpr std::size_t most_faults = 20;  // a wrong decimal sign makes every line a fault

struct Row {
  int line = 0;
  std::string_view text;  // the whole line, which the fields lie in
  std::vector<std::string_view> fields;
};

void add_fault(std::vector<Diagnostic>& faults, const Place& place, std::string message, std::string hint) {
  faults.push_back({place, std::move(message), std::move(hint)});
}

/// Where a field begins; columns count characters from 1, so the later bytes of one (10xxxxxx) do not count.
Place field_place(const std::string& path, const Row& row, std::string_view field) {
  const std::string_view before = row.text.substr(0, static_cast<std::size_t>(field.data() - row.text.data()));
  const auto characters = std::count_if(before.begin(), before.end(), [](char c) { return (c & 0xC0) != 0x80; });
  return {path, row.line, 1 + static_cast<int>(characters)};
}

/// A view into `text` also when nothing is left, so that its place is known.
std::string_view trimmed(std::string_view text) {
  const auto first = text.find_first_not_of(" \t\r\"");
  if (first == std::string_view::npos) return text.substr(0, 0);
  return text.substr(first, text.find_last_not_of(" \t\r\"") - first + 1);
}

/// Line of the first byte that is not UTF-8, 0 when all are.
int first_line_not_utf8(std::string_view text) {
  int line = 1;
  for (std::size_t i = 0; i < text.size(); ++i) {
    const auto byte = static_cast<unsigned char>(text[i]);
    if (byte == '\n') ++line;
    if (byte == 0) return line;
    if (byte < 0x80) continue;
    const int more = byte >= 0xF5 ? 0 : byte >= 0xF0 ? 3 : byte >= 0xE0 ? 2 : byte >= 0xC2 ? 1 : 0;
    if (more == 0) return line;
    for (int k = 0; k < more; ++k)
      if (++i >= text.size() || (static_cast<unsigned char>(text[i]) & 0xC0) != 0x80) return line;
  }
  return 0;
}

std::vector<Row> split_rows(std::string_view text) {
  std::vector<Row> rows;
  int line = 0;
  while (!text.empty()) {
    const auto end = text.find('\n');
    const std::string_view whole = text.substr(0, end);
    std::string_view content = trimmed(whole);
    text = end == std::string_view::npos ? std::string_view{} : text.substr(end + 1);
    ++line;
    if (content.empty() || content.front() == '#') continue;
    Row row{line, whole, {}};
    for (auto comma = content.find(','); comma != std::string_view::npos; comma = content.find(',')) {
      row.fields.push_back(trimmed(content.substr(0, comma)));
      content.remove_prefix(comma + 1);
    }
    row.fields.push_back(trimmed(content));
    rows.push_back(std::move(row));
  }
  return rows;
}

/// Index of a column of the header; −1 and a fault when it is missing or stands twice.
int column(const Row& header, std::string_view name, const std::string& path, std::vector<Diagnostic>& faults) {
  const auto found = std::find(header.fields.begin(), header.fields.end(), name);
  const auto times = std::count(header.fields.begin(), header.fields.end(), name);
  if (times == 1) return static_cast<int>(found - header.fields.begin());
  add_fault(faults, {path, header.line, 0},
            fmt::format("the column {} {}", name, times == 0 ? "is missing" : "stands twice"),
            std::string(header_hint) + ", with commas between the columns");
  return -1;
}

bool read_field(const Row& row, int index, std::string_view name, const std::string& path, double& value,
                std::vector<Diagnostic>& faults) {
  if (index >= static_cast<int>(row.fields.size())) {
    add_fault(faults, {path, row.line, 0}, fmt::format("the row has no value of {}", name),
              "commas separate the columns");
    return false;
  }
  std::string_view text = row.fields[index];
  if (!text.empty() && text.front() == '+') text.remove_prefix(1);
  const auto [end, status] = std::from_chars(text.data(), text.data() + text.size(), value);
  if (status == std::errc{} && end == text.data() + text.size() && std::isfinite(value)) return true;
  add_fault(faults, field_place(path, row, row.fields[index]),
            fmt::format("{} = \"{}\" is not a number", name, row.fields[index]),
            "the decimal sign is a point, commas separate the columns, units stand in the header only");
  return false;
}

[[noreturn]] void throw_faults(std::vector<Diagnostic> faults, const std::string& path) {
  if (faults.size() > most_faults) {
    const std::size_t more = faults.size() - most_faults;
    faults.resize(most_faults);
    add_fault(faults, {path, 0, 0}, fmt::format("{} more faults of this kind", more), "");
  }
  throw InputError(std::move(faults));
}

}  // namespace

BhTable read_bh_csv(const std::string& path) {
  const std::string content = read_text_file(path);
  std::string_view text = content;
  if (text.substr(0, 3) == "\xEF\xBB\xBF") text.remove_prefix(3);  // byte order mark of spreadsheet programs
  if (const int line = first_line_not_utf8(text))
    throw InputError("the file is not UTF-8 text", "save the table as CSV in UTF-8", {path, line, 0});
  const std::vector<Row> rows = split_rows(text);
  if (rows.empty()) throw InputError("the B-H table is empty", std::string(header_hint), {path, 1, 0});

  std::vector<Diagnostic> faults;
  const int h_column = column(rows[0], "H_A_per_m", path, faults);
  const int b_column = column(rows[0], "B_T", path, faults);
  if (!faults.empty()) throw_faults(std::move(faults), path);
  BhTable table;
  for (std::size_t i = 1; i < rows.size(); ++i) {
    double h = 0, b = 0;
    const bool h_good = read_field(rows[i], h_column, "H_A_per_m", path, h, faults);
    const bool b_good = read_field(rows[i], b_column, "B_T", path, b, faults);
    if (!h_good || !b_good) continue;
    table.h.push_back(h);
    table.b.push_back(b);
  }
  if (!faults.empty()) throw_faults(std::move(faults), path);
  const BhFault fault = check_bh_table(table.b, table.h);
  if (fault.message.empty()) return table;
  const int line = fault.row < 0 ? rows.back().line : rows[fault.row + 1].line;
  throw InputError(fault.message, "H and B must rise strictly from 0, and B at least as fast as in vacuum",
                   {path, line, 0});
}

}  // namespace polepitch
