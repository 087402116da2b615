#include "post/figure_gap.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <numeric>

#include "post/figure_axes.h"
#include "post/figure_palette.h"
#include "post/gap_samples.h"
#include "solver/bh_curve.h"

namespace polepitch {
namespace {

constexpr double left = 74, right = 26, wave_top = 84, wave_height = 250, bars_height = 190;  // pt

struct Bar {
  double order;  // electrical
  double radial, tangential;
};

std::vector<Bar> bars(const GapField& gap, int pole_pairs, double largest_order) {
  std::vector<Bar> all;
  double top = 0;
  for (const GapField::FluxOrder& f : gap.spectrum(gap.mean_radius())) {
    all.push_back({static_cast<double>(f.order) / pole_pairs, std::abs(f.radial), std::abs(f.tangential)});
    top = std::max({top, all.back().radial, all.back().tangential});
  }
  double last = largest_order;
  for (const Bar& b : all)
    if (largest_order <= 0 && b.order <= 50 && std::max(b.radial, b.tangential) > 0.005 * top)
      last = std::max(last, b.order);
  std::erase_if(all, [&](const Bar& b) { return b.order > last; });
  return all;
}

void draw_wave(Canvas& canvas, const GapField& gap, int pole_pairs) {
  const double period = gap_period(gap);
  const int share = static_cast<int>(std::lround(2 * pi / period)), points = 1440;
  const CircleSamples s = sample_circle(gap, gap.mean_radius(), points * share);
  std::vector<double> angle, radial, tangential, all;
  for (std::size_t k = 0; k <= static_cast<std::size_t>(points); ++k) {
    angle.push_back(360.0 * static_cast<double>(k) / points / share);
    radial.push_back(s.b_radial[k % s.a.size()]), tangential.push_back(s.b_tangential[k % s.a.size()]);
  }
  all = radial;
  all.insert(all.end(), tangential.begin(), tangential.end());
  PlotArea plot{left,        wave_top,          canvas.width() - left - right,
                wave_height, {0, angle.back()}, tidy_range(all, 8, true)};
  draw_axes(canvas, plot, "mechanical angle, stator frame [deg]", "B [T]", degree_ticks(plot.x, 12));
  canvas.stroke(plot_line(plot, angle, tangential), line_pen(1));
  canvas.stroke(plot_line(plot, angle, radial), line_pen(0));
  draw_legend(canvas, left, canvas.width() - right, 54,
              {{.words = "B_r, radial (outwards positive)", .line = line_pen(0), .look = {}},
               {.words = "B_θ, tangential (counter-clockwise positive)", .line = line_pen(1), .look = {}}});
  const double electrical = angle.back() * pole_pairs;
  canvas.text({plot.left + plot.width, 46},
              fmt::format("one period: {:.4g}° mechanical, {:.4g}° electrical", angle.back(), electrical),
              {.size = 9, .colour = pale_ink, .across = Anchor::end});
}

void draw_bars(Canvas& canvas, const std::vector<Bar>& all, double top) {
  std::vector<double> heights;
  for (const Bar& b : all) heights.push_back(std::max(b.radial, b.tangential));
  const double last = all.empty() ? 1 : std::max(all.back().order, 1.0);
  double nearest = last;
  for (std::size_t i = 1; i < all.size(); ++i) nearest = std::min(nearest, all[i].order - all[i - 1].order);
  PlotArea plot{left, top, canvas.width() - left - right, bars_height, {0, last + 1}, tidy_range(heights, 5, true)};
  std::vector<double> ticks;
  for (const Bar& b : all)
    if (b.order == std::floor(b.order)) ticks.push_back(b.order);
  if (ticks.size() > 26) ticks.clear();
  plot.x_ticks = 20;
  draw_axes(canvas, plot, "electrical order ν/p (1: working wave)", "amplitude [T]", ticks, false);
  const double width = std::clamp(0.36 * nearest * plot.width / (last + 1), 0.8, 9.0);
  const double foot = plot.page_y(0);
  const Look hatched{from_lch(90, 18, 60), Hatch::rising, line_pen(1).colour};
  for (const Bar& b : all) {
    const double x = plot.page_x(b.order);
    canvas.fill(Path::rectangle(x - width, plot.page_y(b.radial), width, foot - plot.page_y(b.radial)),
                line_pen(0).colour, Edges::smooth);
    const Path box = Path::rectangle(x, plot.page_y(b.tangential), width, foot - plot.page_y(b.tangential));
    canvas.fill(box, hatched.fill, Edges::smooth);
    canvas.hatch(box, hatched.hatch, {hatched.line, 0.7, {}}, 3);
    canvas.stroke(box, {hatched.line, 0.6, {}});
  }
  draw_legend(canvas, plot.left + plot.width - 250, plot.left + plot.width, top + 6,
              {{.words = "radial", .line = {}, .patch = true, .look = {line_pen(0).colour, Hatch::none, {}}},
               {.words = "tangential", .line = {}, .patch = true, .look = hatched}});
}

}  // namespace

double gap_period(const GapField& gap) {
  double top = 0;
  const auto orders = gap.spectrum(gap.mean_radius());
  for (const auto& f : orders) top = std::max({top, std::abs(f.radial), std::abs(f.tangential)});
  int divisor = 0;
  for (const auto& f : orders)
    if (std::max(std::abs(f.radial), std::abs(f.tangential)) > 1e-6 * top) divisor = std::gcd(divisor, f.order);
  return 2 * pi / std::max(divisor, 1);
}

Canvas draw_gap_figure(const GapField& gap, int pole_pairs, const GapFigureOptions& options) {
  Canvas canvas(800, 620);
  draw_title(canvas, {16, 10}, canvas.width() - 32, options.title.empty() ? "gap flux density" : options.title,
             fmt::format("flux density on the mean circle of the annulus, radius {:.5g} mm{}", 1e3 * gap.mean_radius(),
                         gap.harmonics.size() == 1 ? "; one wave alone crosses this field's gap" : ""));
  draw_wave(canvas, gap, pole_pairs);
  draw_bars(canvas, bars(gap, pole_pairs, options.largest_order), wave_top + wave_height + 58);
  return canvas;
}

}  // namespace polepitch
