// What a search looks like: what was best so far, and the front.
#include <algorithm>
#include <cmath>
#include <limits>
#include <set>

#include "cases/optimise_run.h"
#include "post/figure_curve.h"
#include "post/figure_front.h"

namespace polepitch {
namespace {

constexpr double kNone = std::numeric_limits<double>::quiet_NaN();

void write_both(const Canvas& canvas, const std::string& path) {
  write_picture(canvas, path + ".png");
  write_picture(canvas, path + ".svg");
}

std::string bare(const std::string& label) {
  return label.substr(label.find('.') + 1);
}

/// Each objective's best among the designs so far that keep the constraints, and by how much the nearest misses.
ResultCurve convergence_of(const OptimiseReport& report) {
  ResultCurve curve{.study = "optimise",
                    .name = "convergence",
                    .title = "the best design so far that keeps the constraints",
                    .columns = {}};
  curve.columns.push_back({"designs asked for", "", {}});
  for (const SoughtQuantity& objective : report.objectives)
    curve.columns.push_back({bare(objective.label), objective.unit, {}});
  Column miss{"miss of the nearest design", "%", {}};
  std::vector<double> best(report.objectives.size(), kNone);
  double nearest = kNone;
  for (std::size_t i = 0; i < report.designs.size(); ++i) {
    const OptimisedDesign& d = report.designs[i];
    if (d.solved) nearest = std::fmin(nearest, 100 * d.missed);
    for (std::size_t k = 0; k < best.size(); ++k)
      if (d.solved && d.missed <= report.plan.tolerance)
        best[k] =
            report.plan.objectives[k].most ? std::fmax(best[k], d.objectives[k]) : std::fmin(best[k], d.objectives[k]);
    curve.columns[0].values.push_back(static_cast<double>(i + 1));
    for (std::size_t k = 0; k < best.size(); ++k) curve.columns[k + 1].values.push_back(best[k]);
    miss.values.push_back(nearest);
  }
  if (miss.values.front() != 0) curve.columns.push_back(std::move(miss));  // else it is 0 throughout
  return curve;
}

/// Of two objectives: all designs that keep the constraints and that none beats in both, along the first.
std::vector<Point> unbeaten(const OptimiseReport& report) {
  std::vector<Point> sorted;
  for (const OptimisedDesign& d : report.designs)
    if (d.solved && d.missed <= report.plan.tolerance) sorted.push_back({d.objectives[0], d.objectives[1]});
  const double x_sign = report.plan.objectives[0].most ? -1 : 1, y_sign = report.plan.objectives[1].most ? -1 : 1;
  std::sort(sorted.begin(), sorted.end(), [&](Point a, Point b) {
    return std::pair(x_sign * a.x, y_sign * a.y) < std::pair(x_sign * b.x, y_sign * b.y);
  });
  std::vector<Point> line;
  for (const Point& p : sorted)
    if (line.empty() || y_sign * p.y < y_sign * line.back().y) line.push_back(p);
  return line;
}

FrontFigure front_of(const OptimiseReport& report, std::size_t y) {
  FrontFigure figure{report.title + ": front",
                     bare(report.objectives[0].label),
                     report.objectives[0].unit,
                     bare(report.objectives[y].label),
                     report.objectives[y].unit,
                     {},
                     {},
                     {},
                     {kNone, kNone},
                     {}};
  const std::set<std::size_t> front(report.chosen.begin(), report.chosen.end());
  const auto at = [&](const OptimisedDesign& d) { return Point{d.objectives[0], d.objectives[y]}; };
  for (std::size_t i = 0; i < report.designs.size(); ++i) {
    const OptimisedDesign& d = report.designs[i];
    if (!d.solved || front.count(i) > 0) continue;
    if (i == 0) figure.start = at(d);
    (d.missed <= report.plan.tolerance ? figure.met : figure.missed).push_back(at(d));
  }
  if (report.met)
    for (const std::size_t i : report.chosen) figure.front.push_back(at(report.designs[i]));
  if (report.met && report.objectives.size() == 2) figure.line = unbeaten(report);
  return figure;
}

}  // namespace

void draw_optimise(const OptimiseReport& report) {
  write_both(draw_curve_figure(convergence_of(report), report.title), report.directory + "/optimise_convergence");
  for (std::size_t k = 1; k < report.objectives.size(); ++k)
    write_both(draw_front_figure(front_of(report, k)),
               report.directory + (k == 1 ? "/optimise_front" : "/optimise_front_" + std::to_string(k)));
}

}  // namespace polepitch
