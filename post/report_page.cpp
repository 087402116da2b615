#include "post/report_page.h"

#include <fmt/format.h>

#include <algorithm>
#include <functional>
#include <kainjow/mustache.hpp>
#include <regex>

#include "post/base64.h"
#include "post/page_assets.h"
#include "post/page_parts.h"
#include "post/report_charts.h"
#include "post/text_lines.h"

namespace polepitch {
namespace {

using kainjow::mustache::data;
using kainjow::mustache::mustache;

std::string at_text(const Quantity& q) {
  std::string text;
  for (const auto& [name, value] : q.at) text += (text.empty() ? "" : ", ") + name + " = " + value;
  return text;
}

data quantity_row(const Quantity& q) {
  data row;
  row.set("name", q.name);
  row.set("value", fmt::format("{:.5g}", q.value));
  row.set("unit", q.unit);
  const ShownNumber shown = shown_number(q);
  row.set("error", q.error ? shown.error : q.exact ? "exact" : "");
  row.set("ripple", shown.ripple);
  row.set("method", q.method + (q.positions > 1 ? fmt::format("; mean of {} positions", q.positions) : ""));
  row.set("definition", q.definition);
  return row;
}

/// Quantities in blocks of one study and operating point, as far as `shown` wants them.
data quantity_blocks(const std::vector<Quantity>& quantities, const std::function<bool(const Quantity&)>& shown) {
  data blocks{data::type::list}, rows{data::type::list};
  std::string study, at;
  bool open = false;
  const auto close = [&] {
    if (!open) return;
    data block;
    block.set("study", study);
    block.set("at", at);
    block.set("rows", rows);
    blocks.push_back(block);
    rows = data{data::type::list};
  };
  for (const Quantity& q : quantities) {
    if (!shown(q)) continue;
    if (!open || q.study != study || at_text(q) != at) close();
    study = q.study, at = at_text(q), open = true;
    rows.push_back(quantity_row(q));
  }
  close();
  return blocks;
}

data table_data(const ReportTable& table) {
  data result, head{data::type::list}, rows{data::type::list};
  for (const std::string& cell : table.head) head.push_back(data{"cell", cell});
  for (const auto& row : table.rows) {
    data cells{data::type::list}, entry;
    for (const std::string& cell : row) cells.push_back(data{"cell", cell});
    entry.set("cells", cells);
    rows.push_back(entry);
  }
  result.set("title", table.title);
  result.set("head", head);
  result.set("rows", rows);
  return result;
}

data pictures_data(const std::vector<ReportPicture>& pictures) {
  data list{data::type::list};
  for (const ReportPicture& p : pictures) {
    data picture;
    picture.set("title", p.title);
    picture.set("markup", p.markup);
    list.push_back(picture);
  }
  return list;
}

data flux_tables(const std::vector<FluxDensityTable>& tables) {
  data list{data::type::list};
  for (const FluxDensityTable& table : tables) {
    data rows{data::type::list}, entry;
    for (const FluxDensityRow& r : table.rows) {
      data row;
      const bool over = r.limit && r.largest > *r.limit;
      row.set("part", r.part);
      row.set("largest", fmt::format("{:.3f}", r.largest) + (r.error ? " " + error_text(*r.error) : ""));
      row.set("third", r.at_third > 0 ? fmt::format("{:.3f}", r.at_third) : "–");
      row.set("percentile", fmt::format("{:.3f}", r.percentile99));
      row.set("limit", r.limit ? fmt::format("{:.3f}", *r.limit) : "–");
      row.set("verdict", over ? "over the limit" : r.limit ? "within" : "");
      row.set("class", over ? "over" : "");
      row.set("where", fmt::format("{}, rotor at {:.1f}°", r.worst_name, r.worst_angle * 180 / 3.14159265358979323846));
      rows.push_back(row);
    }
    entry.set("study", table.study);
    entry.set("rows", rows);
    list.push_back(entry);
  }
  return list;
}

/// What checks the run against itself, wherever a study gave it.
bool is_balance(const Quantity& q) {
  static const std::vector<std::string> names = {"power_balance", "torque_dq", "torque_virtual_work_stator",
                                                 "torque_virtual_work_rotor", "energy_balance"};
  return std::find(names.begin(), names.end(), q.name) != names.end();
}

data studies_data(const ReportPage& page, const Results& results) {
  data list{data::type::list};
  for (const ReportStudy& s : page.studies) {
    data study, charts{data::type::list};
    for (const ResultCurve& curve : results.curves) {
      if (curve.study != s.name || !is_chart(curve)) continue;
      data chart;
      chart.set("id", curve.study + "_" + curve.name);
      chart.set("title", curve.title);
      charts.push_back(chart);
    }
    study.set("name", s.name);
    study.set("sentence", s.sentence);
    study.set("asked", table_data(s.asked));
    study.set("has_asked", !s.asked.rows.empty());
    study.set("charts", charts);
    study.set("pictures", pictures_data(s.pictures));
    list.push_back(study);
  }
  return list;
}

std::string curves_json(const Results& results) {
  std::string text = "[";
  for (const ResultCurve& curve : results.curves)
    if (is_chart(curve)) text += (text.size() > 1 ? ",\n" : "") + chart_json(curve);
  return text + "]";
}

/// The machine's own numbers stand with the machine; a run of studies begins with what they found.
void set_quantities(data& d, const std::vector<Quantity>& all) {
  const auto of_machine = [](const Quantity& q) { return q.study == "description"; };
  const auto key = [&](const Quantity& q) { return q.key_result && !of_machine(q); };
  d.set("has_key_results", std::any_of(all.begin(), all.end(), key));
  d.set("key_results", quantity_blocks(all, key));
  d.set("machine_results", quantity_blocks(all, of_machine));
  d.set("has_balance", std::any_of(all.begin(), all.end(), is_balance));
  d.set("balance", quantity_blocks(all, is_balance));
  d.set("all_results", quantity_blocks(all, [](const Quantity&) { return true; }));
}

}  // namespace

std::string report_page(const ReportPage& page, const Results& results) {
  data d;
  d.set("title", page.title);
  d.set("case_name", page.case_name);
  d.set("version", page.program_version);
  d.set("command", page.command);
  d.set("case_text", page.case_text);
  data warnings{data::type::list}, failed{data::type::list}, tables{data::type::list}, cautions{data::type::list};
  for (const std::string& w : results.warnings) warnings.push_back(data{"text", w});
  for (const std::string& f : page.failed) failed.push_back(data{"text", f});
  for (const std::string& c : page.cautions) cautions.push_back(data{"text", c});
  d.set("warnings", warnings);
  d.set("failed", failed);
  d.set("cautions", cautions);
  d.set("has_warnings", !results.warnings.empty() || !page.failed.empty());
  for (const ReportTable& table : page.machine_tables) tables.push_back(table_data(table));
  d.set("machine_tables", tables);
  d.set("machine_pictures", pictures_data(page.machine_pictures));
  set_quantities(d, results.quantities);
  d.set("flux_tables", flux_tables(results.flux_tables));
  d.set("has_flux_tables", !results.flux_tables.empty());
  d.set("studies", studies_data(page, results));
  d.set("run", table_data(page.run));
  d.set("has_scenes", !page.scenes.empty());
  d.set("scenes", for_script(page.scenes));
  d.set("curves", for_script(curves_json(results)));
  set_shared_parts(d);
  data scripts{data::type::list};
  for (std::string_view script :
       {page::scene_mesh_script, page::scene_field_script, page::scene_side_script, page::scene_script})
    scripts.push_back(data{"text", std::string(script)});
  d.set("scene_scripts", scripts);
  mustache view{std::string(page::report_template)};
  return view.render(d);
}

std::string inline_svg(const std::string& file_text, const std::string& prefix, const std::string& words) {
  static const std::regex ids(R"re((\bid=")|(xlink:href="#)|(url\(#))re");
  const size_t begin = file_text.find("<svg");
  if (begin == std::string::npos) return "";
  std::string text = std::regex_replace(file_text.substr(begin), ids, "$&" + prefix + "-");
  const size_t head = text.find('>');
  const std::string id = prefix + "-title";
  text.insert(head + 1, "<title id=\"" + id + "\">" + xml_escaped(words) + "</title>");
  text.insert(4, " role=\"img\" aria-labelledby=\"" + id + "\"");
  return text;
}

std::string inline_png(const std::string& bytes, const std::string& words) {
  return "<img src=\"data:image/png;base64," + base64(bytes) + "\" alt=\"" + xml_escaped(words) + "\">";
}

}  // namespace polepitch
