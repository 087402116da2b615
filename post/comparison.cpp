#include "post/comparison.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <limits>
#include <map>
#include <set>

#include "post/figure_axes.h"

namespace polepitch {
namespace {

std::string at_text(const Quantity& q) {
  std::string text;
  for (const auto& [name, value] : q.at) text += (text.empty() ? "" : ", ") + name + " = " + value;
  return text;
}

Difference difference_of(const ComparedValue& first, const ComparedValue& now) {
  Difference d;
  d.absolute = now.value - first.value;
  if (first.value != 0) d.relative = d.absolute / first.value;
  const double rounding = 1e-6 * std::abs(first.value);
  if (!first.error && !now.error) {
    // Counted or in closed form on both sides: nothing between them but rounding.
    d.verdict = std::abs(d.absolute) > rounding ? Difference::Verdict::clear : Difference::Verdict::within;
    return d;
  }
  if (!first.error || !now.error) return d;
  d.verdict = std::abs(d.absolute) > std::max(rounding, 2 * std::hypot(*first.error, *now.error))
                  ? Difference::Verdict::clear
                  : Difference::Verdict::within;
  return d;
}

void set_differences(ComparedRow& row) {
  const ComparedValue* first = nullptr;
  for (std::optional<ComparedValue>& value : row.values) {
    if (!value) continue;
    if (first == nullptr)
      first = &*value;
    else
      value->difference = difference_of(*first, *value);
  }
}

/// The row that a run's quantity belongs to: of the same point, else the first of its study and name that the run has
/// not filled and no other quantity of the run stands at; null where there is none.
ComparedRow* row_for(std::vector<ComparedRow>& rows, const Quantity& q, std::size_t run,
                     const std::set<std::string>& own_points) {
  for (ComparedRow& row : rows)
    if (row.study == q.study && row.name == q.name && row.at == at_text(q) && !row.values[run]) return &row;
  for (ComparedRow& row : rows)
    if (row.study == q.study && row.name == q.name && !row.values[run] && !own_points.contains(row.name + row.at))
      return &row;
  return nullptr;
}

void add_run(std::vector<ComparedRow>& rows, const std::vector<RunRecord>& runs, std::size_t run) {
  std::set<std::string> own_points;
  for (const Quantity& q : runs[run].results.quantities) own_points.insert(q.name + at_text(q));
  for (const Quantity& q : runs[run].results.quantities) {
    ComparedRow* row = row_for(rows, q, run, own_points);
    if (row == nullptr) {
      rows.push_back({q.study, q.name, at_text(q), q.unit, q.definition, q.key_result, true, {}});
      rows.back().values.resize(runs.size());
      row = &rows.back();
    }
    row->key_result = row->key_result || q.key_result;
    row->same_point = row->same_point && row->at == at_text(q);
    row->values[run] = ComparedValue{q.value, q.error, {}};
  }
}

void add_flux(std::vector<ComparedRow>& rows, const std::vector<RunRecord>& runs, std::size_t run) {
  for (const FluxDensityTable& table : runs[run].results.flux_tables)
    for (const FluxDensityRow& part : table.rows) {
      auto row = std::find_if(rows.begin(), rows.end(),
                              [&](const ComparedRow& r) { return r.study == table.study && r.name == part.part; });
      if (row == rows.end()) {
        rows.push_back(
            {table.study, part.part, "", "T", "Largest flux through a section over its width.", true, true, {}});
        rows.back().values.resize(runs.size());
        row = rows.end() - 1;
      }
      row->values[run] = ComparedValue{part.largest, part.error, {}};
    }
}

const Column* column_of(const RunRecord& run, const ResultCurve& like, const std::string& name, const Column*& x) {
  for (const ResultCurve& curve : run.results.curves) {
    if (curve.study != like.study || curve.name != like.name || curve.columns.empty()) continue;
    x = &curve.columns.front();
    for (const Column& column : curve.columns)
      if (column.name == name) return &column;
  }
  return nullptr;
}

bool rises(const std::vector<double>& x) {
  return std::adjacent_find(x.begin(), x.end(), [](double a, double b) { return !(b > a); }) == x.end();
}

/// One column of a curve from every run that has it.
ComparedCurve overlaid(const std::vector<RunRecord>& runs, const ResultCurve& like, const Column& column) {
  ComparedCurve result;
  result.curve = {like.study,
                  like.name + "_" + column.name,
                  like.title + ": " + axis_label(column.name, column.unit),
                  {},
                  like.spectrum,
                  like.drawn_to};
  std::vector<std::pair<const Column*, const Column*>> of_run;
  std::set<double> all;
  for (const RunRecord& run : runs) {
    const Column* x = nullptr;
    const Column* y = column_of(run, like, column.name, x);
    of_run.emplace_back(x, y);
    if (y == nullptr) continue;
    all.insert(x->values.begin(), x->values.end());
    result.rising = result.rising && rises(x->values);
  }
  const std::vector<double> grid(all.begin(), all.end());
  const Column& abscissa = like.columns.front();
  result.curve.columns.push_back({abscissa.name, abscissa.unit, grid});
  for (std::size_t r = 0; r < runs.size(); ++r) {
    const auto& [x, y] = of_run[r];
    if (y == nullptr) continue;
    Column line{runs[r].label, column.unit, std::vector<double>(grid.size(), std::numeric_limits<double>::quiet_NaN())};
    line.error = y->error;
    for (std::size_t i = 0; i < x->values.size(); ++i)
      line.values[static_cast<std::size_t>(std::lower_bound(grid.begin(), grid.end(), x->values[i]) - grid.begin())] =
          y->values[i];
    result.curve.columns.push_back(std::move(line));
  }
  return result;
}

void add_curves(Comparison& all, const std::vector<RunRecord>& runs) {
  std::set<std::string> done;
  for (const RunRecord& run : runs)
    for (const ResultCurve& curve : run.results.curves)
      for (std::size_t c = 1; c < curve.columns.size(); ++c) {
        const Column& column = curve.columns[c];
        if (!column.drawn || !done.insert(curve.study + "/" + curve.name + "/" + column.name).second) continue;
        ComparedCurve compared = overlaid(runs, curve, column);
        if (compared.curve.columns.size() > 2) all.curves.push_back(std::move(compared));
      }
}

}  // namespace

Comparison compare_runs(const std::vector<RunRecord>& runs) {
  Comparison all;
  for (std::size_t r = 0; r < runs.size(); ++r) {
    all.labels.push_back(runs[r].label);
    add_run(all.rows, runs, r);
    add_flux(all.flux_density, runs, r);
  }
  // What later runs add stands with its study.
  std::map<std::string, std::size_t> order;
  for (const ComparedRow& row : all.rows) order.emplace(row.study, order.size());
  std::stable_sort(all.rows.begin(), all.rows.end(),
                   [&](const ComparedRow& a, const ComparedRow& b) { return order.at(a.study) < order.at(b.study); });
  for (auto* rows : {&all.rows, &all.flux_density})
    for (ComparedRow& row : *rows) set_differences(row);
  add_curves(all, runs);
  return all;
}

std::string verdict_words(Difference::Verdict verdict) {
  switch (verdict) {
    case Difference::Verdict::clear:
      return "clear";
    case Difference::Verdict::within:
      return "within errors";
    case Difference::Verdict::unknown:
      break;
  }
  return "no error stated";
}

std::string difference_text(const Difference& difference) {
  if (!difference.relative) return fmt::format("{:+.3g}", difference.absolute);
  const double percent = 100 * *difference.relative;
  // A change beyond tenfold says more as the number it is.
  return std::abs(percent) > 1000 ? fmt::format("{:+.3g}", difference.absolute) : fmt::format("{:+.2f} %", percent);
}

}  // namespace polepitch
