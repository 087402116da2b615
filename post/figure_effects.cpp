#include "post/figure_effects.h"

#include <algorithm>
#include <stdexcept>

#include "post/figure_axes.h"
#include "post/figure_palette.h"

namespace polepitch {

Canvas draw_effects_figure(const std::vector<Effect>& effects, double mean, const std::string& quantity,
                           const std::string& unit, const std::string& title) {
  constexpr double left = 84, between = 26, height = 260, panel = 210, top = 66;
  std::vector<double> all{mean};
  for (const Effect& effect : effects) {
    if (effect.levels.size() != effect.means.size()) throw std::logic_error("effect '" + effect.name + "' is ragged");
    all.insert(all.end(), effect.means.begin(), effect.means.end());
  }
  const Range y = tidy_range(all, 6);
  const std::size_t columns = std::min<std::size_t>(3, std::max<std::size_t>(1, effects.size()));
  const std::size_t rows = (effects.size() + columns - 1) / columns;
  Canvas canvas(left + static_cast<double>(columns) * (panel + between) + left * static_cast<double>(columns - 1),
                top + static_cast<double>(rows) * (height + 62));
  draw_title(canvas, {16, 10}, canvas.width() - 32, title,
             "mean over all points at each level; dashed: over everything");
  for (std::size_t k = 0; k < effects.size(); ++k) {
    const Effect& effect = effects[k];
    PlotArea plot{left + static_cast<double>(k % columns) * (panel + between + left),
                  top + static_cast<double>(k / columns) * (height + 62),
                  panel,
                  height,
                  tidy_range(effect.levels, 4),
                  y};
    plot.x_ticks = 4;
    draw_axes(canvas, plot, axis_label(effect.name, effect.unit), axis_label(quantity, unit));
    canvas.stroke(plot_line(plot, std::vector<double>{plot.x.low, plot.x.high}, std::vector<double>{mean, mean}),
                  {pale_ink, 1, {4, 3}});
    const Pen pen = line_pen(0);
    canvas.stroke(plot_line(plot, effect.levels, effect.means), pen);
    for (std::size_t i = 0; i < effect.levels.size(); ++i)
      draw_marker(canvas, {plot.page_x(effect.levels[i]), plot.page_y(effect.means[i])}, 0, 3.4, pen.colour);
  }
  return canvas;
}

}  // namespace polepitch
