#include "cases/summary_table.h"

#include <fmt/format.h>

#include <algorithm>
#include <numbers>

namespace polepitch {
namespace {

std::string at_text(const Quantity& q) {
  std::string text;
  for (const auto& [name, value] : q.at) text += (text.empty() ? "" : ", ") + name + " = " + value;
  return text;
}

/// Widths of the columns over all key results.
struct Widths {
  std::size_t name = 0, unit = 0;
};

std::string quantity_line(const Quantity& q, const Widths& widths) {
  const ShownNumber shown = shown_number(q);
  std::string line = fmt::format("    {:<{}}  {:>10} {:<{}}", q.name, widths.name, shown.value, q.unit, widths.unit);
  if (!shown.ripple.empty()) line += "  ripple " + shown.ripple;
  if (!shown.error.empty()) line += "  " + shown.error;
  if (q.positions > 1) line += fmt::format("  ({} positions)", q.positions);
  return line.substr(0, line.find_last_not_of(' ') + 1) + "\n";
}

std::string quantities_text(const std::vector<Quantity>& quantities) {
  Widths widths;
  for (const Quantity& q : quantities)
    if (q.key_result) widths = {std::max(widths.name, q.name.size()), std::max(widths.unit, q.unit.size())};
  std::string text, study, at;
  for (const Quantity& q : quantities) {
    if (!q.key_result) continue;
    if (q.study != study) text += fmt::format("\n{}\n", q.study);
    if (const std::string here = at_text(q); q.study != study || here != at) {
      if (!here.empty()) text += fmt::format("  at {}\n", here);
      at = here;
    }
    study = q.study;
    text += quantity_line(q, widths);
  }
  return text;
}

std::string flux_text(const FluxDensityTable& table) {
  std::string text = fmt::format("\nflux density, {}\n", table.study);
  text += fmt::format("    {:<16} {:>9} {:>9} {:>9} {:>9}\n", "part", "largest T", "at 1/3 T", "99 % T", "limit T");
  for (const FluxDensityRow& row : table.rows) {
    const std::string limit = row.limit ? fmt::format("{:.3f}", *row.limit) : "-";
    const std::string third = row.at_third > 0 ? fmt::format("{:.3f}", row.at_third) : "-";
    text +=
        fmt::format("    {:<16} {:>9.3f} {:>9} {:>9.3f} {:>9}", row.part, row.largest, third, row.percentile99, limit);
    if (row.limit && row.largest > *row.limit) text += "  EXCEEDS";
    text += fmt::format("  {} at {:.1f} deg\n", row.worst_name, row.worst_angle * 180 / std::numbers::pi);
  }
  return text;
}

}  // namespace

std::string summary_table(const std::string& title, const Results& results) {
  std::string text = title + "\n" + quantities_text(results.quantities);
  for (const FluxDensityTable& table : results.flux_tables) text += flux_text(table);
  if (!results.warnings.empty()) text += "\n";
  for (const std::string& warning : results.warnings) text += "warning: " + warning + "\n";
  return text;
}

}  // namespace polepitch
