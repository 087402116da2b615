#include "post/comparison_page.h"

#include <fmt/format.h>

#include "post/figure_curve.h"
#include "post/overlay.h"
#include "post/page_assets.h"
#include "post/page_parts.h"
#include "post/report_charts.h"

namespace polepitch {
namespace {

using kainjow::mustache::data;
using kainjow::mustache::mustache;
using kainjow::mustache::partial;

/// The table of rows, used three times.
constexpr const char* kRowsTable = R"(<div class="scroll"><table class="numbers compared">
<thead><tr><th>quantity</th><th>unit</th>{{#heads}}<th>{{label}}</th>{{#later}}<th>difference</th>{{/later}}{{/heads}}</tr></thead>
{{#blocks}}<tbody><tr class="group"><th colspan="{{columns}}" scope="rowgroup"><b>{{study}}</b> {{at}}</th></tr>
{{#rows}}<tr><th scope="row" title="{{definition}}">{{name}}</th><td>{{unit}}</td>{{#cells}}<td>{{value}}</td>{{#later}}<td class="{{class}}">{{difference}}</td>{{/later}}{{/cells}}</tr>
{{/rows}}</tbody>
{{/blocks}}</table></div>)";

std::string value_text(const ComparedValue& v) {
  return fmt::format("{:.5g}", v.value) + (v.error ? " " + error_text(*v.error) : "");
}

data cells_of(const ComparedRow& row) {
  data cells{data::type::list};
  for (size_t r = 0; r < row.values.size(); ++r) {
    data cell;
    const std::optional<ComparedValue>& v = row.values[r];
    cell.set("value", v ? value_text(*v) : "–");
    cell.set("later", r > 0);
    const bool differs = v && v->difference;
    cell.set("difference",
             differs ? difference_text(*v->difference) + ", " + verdict_words(v->difference->verdict) : "");
    cell.set("class", differs && v->difference->verdict == Difference::Verdict::clear ? "clear" : "");
    cells.push_back(cell);
  }
  return cells;
}

/// Rows in blocks of one study and operating point.
data table_of(const std::vector<std::string>& labels, const std::vector<ComparedRow>& rows, bool key_only) {
  data heads{data::type::list}, blocks{data::type::list}, block, block_rows{data::type::list};
  for (size_t r = 0; r < labels.size(); ++r) {
    data head;
    head.set("label", labels[r]);
    head.set("later", r > 0);
    heads.push_back(head);
  }
  std::string study, at;
  bool open = false;
  const auto close = [&] {
    if (!open) return;
    block.set("rows", block_rows);
    blocks.push_back(block);
    block_rows = data{data::type::list};
  };
  for (const ComparedRow& row : rows) {
    if (key_only && !row.key_result) continue;
    const std::string here = row.at + (row.same_point ? "" : " (other points in other runs)");
    if (!open || row.study != study || here != at) {
      close();
      study = row.study, at = here, open = true;
      block.set("study", study);
      block.set("at", at);
      block.set("columns", std::to_string(1 + 2 * labels.size()));
    }
    data entry;
    entry.set("name", row.name);
    entry.set("unit", row.unit);
    entry.set("definition", row.definition);
    entry.set("cells", cells_of(row));
    block_rows.push_back(entry);
  }
  close();
  data table;
  table.set("heads", heads);
  table.set("blocks", blocks);
  return table;
}

void set_runs(data& d, const std::vector<RunRecord>& runs) {
  data list{data::type::list}, warnings{data::type::list};
  std::string title;
  for (const RunRecord& run : runs) {
    data entry;
    entry.set("label", run.label);
    entry.set("case_name", run.case_name);
    entry.set("directory", run.directory);
    entry.set("run_version", run.program_version);
    list.push_back(entry);
    title += (title.empty() ? "" : ", ") + run.label;
    for (const std::string& text : run.results.warnings) {
      data warning;
      warning.set("label", run.label);
      warning.set("text", text);
      warnings.push_back(warning);
    }
  }
  d.set("runs", list);
  d.set("warnings", warnings);
  d.set("has_warnings", !warnings.is_empty_list());
  d.set("title", title);
  d.set("count", std::to_string(runs.size()));
}

/// Rising curves become charts; spectra, loci, constructions and phasors are drawn.
void set_curves(data& d, const std::vector<ComparedCurve>& curves, const std::vector<Overlay>& overlays) {
  data charts{data::type::list}, drawn{data::type::list};
  std::string json = "[";
  for (const ComparedCurve& c : curves) {
    data entry;
    if (c.rising && is_chart(c.curve)) {
      entry.set("id", c.curve.study + "_" + c.curve.name);
      entry.set("title", c.curve.study + ": " + c.curve.title);
      charts.push_back(entry);
      json += (json.size() > 1 ? ",\n" : "") + chart_json(c.curve, true);
    } else if (c.rising) {
      const std::string svg = draw_curve_figure(c.curve).render(PictureFormat::svg);
      entry.set("title", c.curve.study + ": " + c.curve.title);
      entry.set("markup", inline_svg(svg, c.curve.study + "_" + c.curve.name, c.curve.title));
      drawn.push_back(entry);
    }
  }
  for (const Overlay& overlay : overlays) {
    data entry;
    entry.set("title", overlay.study + ": " + overlay.title);
    entry.set("markup", inline_svg(draw_overlay_figure(overlay).render(PictureFormat::svg),
                                   overlay.study + "_" + overlay.name, overlay.title));
    drawn.push_back(entry);
  }
  d.set("has_curves", !curves.empty() || !overlays.empty());
  d.set("charts", charts);
  d.set("drawn", drawn);
  d.set("curves", for_script(json + "]"));
}

void set_pictures(data& d, const std::vector<PictureRow>& rows) {
  data list{data::type::list};
  for (const PictureRow& row : rows) {
    data entry, pictures{data::type::list};
    for (const ReportPicture& p : row.pictures) {
      data picture;
      picture.set("title", p.title);
      picture.set("markup", p.markup);
      pictures.push_back(picture);
    }
    entry.set("title", row.title);
    entry.set("pictures", pictures);
    list.push_back(entry);
  }
  d.set("has_pictures", !rows.empty());
  d.set("picture_rows", list);
}

}  // namespace

std::string comparison_page(const std::vector<RunRecord>& runs, const Comparison& comparison,
                            const std::vector<PictureRow>& pictures, const std::string& program_version) {
  data d;
  d.set("version", program_version);
  set_runs(d, runs);
  d.set("rows_table", data{partial{[] { return std::string(kRowsTable); }}});
  d.set("key_table", table_of(comparison.labels, comparison.rows, true));
  d.set("all_table", table_of(comparison.labels, comparison.rows, false));
  d.set("flux_table", table_of(comparison.labels, comparison.flux_density, false));
  d.set("has_flux", !comparison.flux_density.empty());
  set_curves(d, comparison.curves, overlays_of(runs));
  set_pictures(d, pictures);
  set_shared_parts(d);
  mustache view{std::string(page::compare_template)};
  return view.render(d);
}

}  // namespace polepitch
