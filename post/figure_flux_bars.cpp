#include "post/figure_flux_bars.h"

#include <fmt/format.h>

#include <algorithm>

#include "post/figure_axes.h"
#include "post/figure_palette.h"

namespace polepitch {
namespace {

constexpr double bar = 13, group = 62, left = 130, right = 190, top = 84;  // pt

struct Measure {
  const char* words;
  double FluxDensityRow::*value;
  Look look;
};

const std::vector<Measure>& measures() {
  static const std::vector<Measure> all{
      {"largest", &FluxDensityRow::largest, {line_pen(0).colour, Hatch::none, {}}},
      {"at a third of the height",
       &FluxDensityRow::at_third,
       {from_lch(88, 22, 70), Hatch::rising, line_pen(1).colour}},
      {"99th percentile by area",
       &FluxDensityRow::percentile99,
       {from_lch(94, 8, 150), Hatch::level, from_lch(45, 20, 165)}},
  };
  return all;
}

std::string verdict(const FluxDensityRow& row) {
  if (!row.limit) return "no limit given";
  const std::string where = row.worst_name.empty() ? row.part : row.worst_name;
  if (row.largest <= *row.limit) return fmt::format("within {:.3g} T", *row.limit);
  return fmt::format("{:+.2f} T over {:.3g} T", row.largest - *row.limit, *row.limit);
}

// Numbers at the bars' ends, moved past the limit's mark where it would cover them.
void draw_figures(Canvas& canvas, const PlotArea& plot, const FluxDensityRow& row, double top_bar) {
  const TextStyle style{.size = 9, .colour = ink, .halo = true};
  for (std::size_t i = 0; i < measures().size(); ++i) {
    const double value = row.*measures()[i].value;
    if (!(value > 0)) continue;
    const std::string words = fmt::format("{:.2f}", value);
    double x = plot.page_x(value) + 5;
    const double mark = row.limit ? plot.page_x(*row.limit) : -1e9;
    if (mark > x - 5 && mark < x + text_width(words, style) + 3) x = mark + 7;
    canvas.text({x, top_bar + bar * static_cast<double>(i) + bar / 2 - 1}, words, style);
  }
}

void draw_row(Canvas& canvas, const PlotArea& plot, const FluxDensityRow& row, double y) {
  const bool over = row.limit && row.largest > *row.limit;
  canvas.text({left - 8, y + group / 2 - 2}, row.part,
              {.size = 11, .colour = ink, .across = Anchor::end, .bold = over});
  double at = y + (group - 3 * bar) / 2 - 2;
  const double foot = at - 3;
  for (const Measure& measure : measures()) {
    const double value = row.*measure.value;
    if (value > 0) {
      const Path box = Path::rectangle(plot.left, at, plot.page_x(value) - plot.left, bar - 2);
      canvas.fill(box, measure.look.fill, Edges::smooth);
      canvas.hatch(box, measure.look.hatch, {measure.look.line, 0.8, {}}, 4);
      canvas.stroke(box, {ink, 0.6, {}});
    }
    at += bar;
  }
  if (row.limit) {
    Path mark;
    mark.move({plot.page_x(*row.limit), foot}).line({plot.page_x(*row.limit), at + 1});
    canvas.stroke(mark, {{1, 1, 1}, 5, {}});
    canvas.stroke(std::move(mark), {ink, 2.4, {}});
  }
  draw_figures(canvas, plot, row, foot + 3);
  const double x = plot.left + plot.width + 12;
  canvas.text({x, y + group / 2 - 9}, verdict(row), {.size = 10, .colour = ink, .bold = over});
  if (!row.worst_name.empty())
    canvas.text({x, y + group / 2 + 6},
                fmt::format("{} at {:.3g}°", row.worst_name, row.worst_angle * 180 / 3.14159265358979323846),
                {.size = 9, .colour = pale_ink});
}

}  // namespace

Canvas draw_flux_bars_figure(const FluxDensityTable& table, const std::string& machine_title) {
  const double height = group * static_cast<double>(std::max<std::size_t>(table.rows.size(), 1));
  Canvas canvas(820, top + height + 52);
  std::vector<double> values;
  for (const FluxDensityRow& row : table.rows)
    values.insert(values.end(), {row.largest, row.at_third, row.percentile99, row.limit.value_or(0)});
  draw_title(canvas, {16, 10}, canvas.width() - 32, "Flux density against the design limits",
             machine_title.empty() ? table.study : machine_title + ": " + table.study);
  Range range = tidy_range(values, 8, true);
  range.high *= 1.06;  // room for the figures behind the bars
  PlotArea plot{left, top, canvas.width() - left - right, height, range, {0, 1}};
  for (double x : tidy_ticks(plot.x, 8)) {
    Path line;
    line.move({plot.page_x(x), top}).line({plot.page_x(x), top + height});
    canvas.stroke(std::move(line), {grid_ink, 0.6, {}});
    canvas.text({plot.page_x(x), top + height + 5}, tick_label(x, tidy_step(range.high - range.low, 8)),
                {.size = 10, .colour = ink, .across = Anchor::middle, .along = Anchor::start});
  }
  std::vector<LegendEntry> entries;
  for (const Measure& measure : measures())
    entries.push_back({.words = measure.words, .line = {}, .patch = true, .look = measure.look});
  entries.push_back({.words = "limit (mark across)", .line = {ink, 2.4, {}}, .look = {}});
  draw_legend(canvas, 16, canvas.width() - 16, 50, entries);
  for (std::size_t i = 0; i < table.rows.size(); ++i)
    draw_row(canvas, plot, table.rows[i], top + group * static_cast<double>(i));
  canvas.stroke(Path::rectangle(plot.left, plot.top, plot.width, plot.height), {ink, 0.9, {}});
  canvas.text({plot.left + plot.width / 2, top + height + 22}, "flux density |B| [T]",
              {.size = 11, .colour = ink, .across = Anchor::middle, .along = Anchor::start});
  return canvas;
}

}  // namespace polepitch
