#include "post/text_chart.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <vector>

#include "post/figure_axes.h"

namespace polepitch {
namespace {

struct Grid {
  int columns, rows;
  Range x, y;
  std::vector<std::string> lines;

  void put(double at, double value, char letter) {
    const auto cell = [](double v, const Range& r, int count) {
      return std::clamp(static_cast<int>((v - r.low) / (r.high - r.low) * count), 0, count - 1);
    };
    char& place =
        lines[static_cast<size_t>(rows - 1 - cell(value, y, rows))][static_cast<size_t>(cell(at, x, columns))];
    place = place == ' ' || place == letter ? letter : '*';
  }
};

/// Straight between neighbouring points, so that steep pieces have no holes.
void draw(Grid& grid, const std::vector<double>& x, const std::vector<double>& y, char letter) {
  double last_x = 0, last_y = 0;
  bool have = false;
  for (size_t i = 0; i < x.size(); ++i) {
    if (!std::isfinite(y[i])) continue;
    const int steps = have ? 2 * (grid.columns + grid.rows) : 1;
    for (int k = 1; k <= steps; ++k) {
      const double s = static_cast<double>(k) / steps;
      grid.put(have ? last_x + s * (x[i] - last_x) : x[i], have ? last_y + s * (y[i] - last_y) : y[i], letter);
    }
    last_x = x[i], last_y = y[i], have = true;
  }
}

}  // namespace

std::string text_chart(const ResultCurve& curve, int columns, int rows) {
  std::vector<double> all;
  for (size_t c = 1; c < curve.columns.size(); ++c)
    for (double v : curve.columns[c].values)
      if (std::isfinite(v)) all.push_back(v);
  const std::vector<double>& x = curve.columns.front().values;
  if (all.empty() || x.size() < 2) return "";
  const auto [first, last] = std::minmax_element(x.begin(), x.end());
  Grid grid{columns, rows, {*first, *last}, tidy_range(all, 4), {}};
  grid.lines.assign(static_cast<size_t>(rows), std::string(static_cast<size_t>(columns), ' '));
  std::string legend;
  for (size_t c = 1; c < curve.columns.size(); ++c) {
    const char letter = static_cast<char>('a' + (c - 1) % 26);
    draw(grid, x, curve.columns[c].values, letter);
    legend += fmt::format("{}{} = {}", legend.empty() ? "" : ",  ", letter, curve.columns[c].name);
  }
  std::string text;
  for (int r = 0; r < rows; ++r) {
    const std::string label = r == 0          ? fmt::format("{:.4g}", grid.y.high)
                              : r == rows - 1 ? fmt::format("{:.4g}", grid.y.low)
                                              : "";
    text += fmt::format("  {:>10} |{}\n", label, grid.lines[static_cast<size_t>(r)]);
  }
  const Column& abscissa = curve.columns.front();
  text += fmt::format("  {:>10} +{}\n", "", std::string(static_cast<size_t>(columns), '-'));
  const std::string low = fmt::format("{:.4g}", *first), high = fmt::format("{:.4g}", *last),
                    name = axis_label(abscissa.name, abscissa.unit);
  text += fmt::format("  {:>10}  {}{:^{}}{}\n", "", low, name,
                      std::max<int>(1, columns - static_cast<int>(low.size() + high.size())), high);
  return text + fmt::format("  {:>10}  {};  * = several\n", "", legend);
}

}  // namespace polepitch
