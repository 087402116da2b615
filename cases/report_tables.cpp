#include "cases/report_tables.h"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <cmath>
#include <set>

#include "cases/command_line.h"
#include "geometry/catalogue.h"

namespace polepitch {
namespace {

std::string value_text(const Parameter& p, const Values& v) {
  switch (p.form) {
    case Form::quantity:
      return format_quantity(p.kind, v.number(p.name), p.unit);
    case Form::integer:
      return std::to_string(v.integer(p.name));
    case Form::flag:
      return v.flag(p.name) ? "yes" : "no";
    case Form::choice:
    case Form::text:
      return v.text(p.name);
    case Form::quantity_list: {
      std::vector<std::string> items;
      for (double item : v.numbers(p.name)) items.push_back(format_quantity(p.kind, item, p.unit));
      return fmt::format("{}", fmt::join(items, ", "));
    }
    case Form::integer_list:
      return fmt::format("{}", fmt::join(v.integers(p.name), ", "));
    case Form::text_list:
      return fmt::format("{}", fmt::join(v.texts(p.name), ", "));
    case Form::integer_table:
      return fmt::format("{} rows", v.table(p.name).size());
  }
  return "";
}

void add_values(ReportTable& table, const std::vector<Parameter>& parameters, const Values& values) {
  for (const Parameter& p : parameters)
    if (values.has(p.name))
      table.rows.push_back({p.name, value_text(p, values), values.given(p.name) ? "" : "default"});
}

const std::vector<Parameter>& parameters_of(const std::vector<CatalogueEntry>& catalogue, const std::string& name) {
  static const std::vector<Parameter> none;
  const auto it = std::find_if(catalogue.begin(), catalogue.end(), [&](const auto& e) { return e.name == name; });
  return it == catalogue.end() ? none : it->parameters;
}

/// One side with its slot.
ReportTable side_table(const std::string& title, const Block& side, const std::vector<CatalogueEntry>& catalogue,
                       const Block& slot) {
  ReportTable table{title + ": " + side.type, {"", "", ""}, {}};
  add_values(table, parameters_of(catalogue, side.type), side.values);
  if (!slot.present) return table;
  table.rows.push_back({"slot", slot.type, ""});
  add_values(table, parameters_of(slot_catalogue(), slot.type), slot.values);
  return table;
}

ReportTable rating_table(const Case& kase) {
  ReportTable table{"Rating", {"", ""}, {}};
  const PerUnitBase base = per_unit_base(kase.machine);
  const Values& v = kase.machine.rating.values;
  const int p = kase.machine.general.values.integer("pole_pairs");
  table.rows = {{"apparent power", fmt::format("{:.5g} kVA", 1e-3 * base.power)},
                {"line voltage", fmt::format("{:.5g} V, {}", v.number("line_voltage"), base.star ? "star" : "delta")},
                {"frequency", fmt::format("{:.5g} Hz", v.number("frequency"))},
                {"power factor", fmt::format("{:.3g}", v.number("power_factor"))},
                {"synchronous speed", fmt::format("{:.6g} rpm", 60 * v.number("frequency") / p)},
                {"base impedance", fmt::format("{:.5g} ohm", base.impedance)}};
  return table;
}

/// Slots side by side, the layers under each other, over one pole pitch (the first slots of a winding whose pitch is
/// no whole number of slots).
ReportTable coil_sides_table(const WindingLayout& layout) {
  const int pitch = std::max(1, layout.slots / (2 * layout.pole_pairs)), shown = std::min(pitch, 24);
  ReportTable table{fmt::format("Coil sides in the first {} of {} slots, {} conductors each (+: towards the viewer at "
                                "positive current)",
                                shown, layout.slots, layout.turns_per_coil),
                    {"slot"},
                    {}};
  for (int slot = 0; slot < shown; ++slot) table.head.push_back(std::to_string(slot + 1));
  for (int layer = layout.layers - 1; layer >= 0; --layer) {
    const std::string name = layout.layers == 1 ? "phase" : layer == 0 ? "bottom" : "top";
    table.rows.push_back({name});
    table.rows.back().resize(static_cast<size_t>(shown) + 1);
    for (const CoilSide& side : layout.sides)
      if (side.layer == layer && side.slot < shown)
        table.rows.back()[static_cast<size_t>(side.slot) + 1] = phase_name(side.phase) + (side.sign > 0 ? "+" : "−");
  }
  return table;
}

ReportTable material_table(const Section& section, const Materials& materials) {
  ReportTable table{"Materials", {"name", "what it is"}, {}};
  std::set<std::string> names;
  for (const Region& region : section.regions) names.insert(region.material);
  for (const std::string& name : names)
    if (const auto it = materials.find(name); it != materials.end()) table.rows.push_back({name, it->second.source});
  return table;
}

}  // namespace

std::vector<ReportTable> machine_tables(const Case& kase, const Section& section) {
  const Machine& m = kase.machine;
  std::vector<ReportTable> tables;
  if (m.rating.present) tables.push_back(rating_table(kase));
  tables.push_back({"Machine", {"", "", ""}, {}});
  add_values(tables.back(), general_parameters(), m.general.values);
  tables.push_back(side_table("Stator", m.stator, stator_catalogue(), m.stator_slot));
  tables.push_back(side_table("Rotor", m.rotor, rotor_catalogue(), m.rotor_slot));
  if (m.winding.present) {
    tables.push_back({"Winding", {"", "", ""}, {}});
    add_values(tables.back(), winding_parameters(), m.winding.values);
  }
  if (m.rotor_winding.present) {
    tables.push_back({"Rotor winding", {"", "", ""}, {}});
    add_values(tables.back(), winding_parameters(), m.rotor_winding.values);
  }
  if (m.limits.present) {
    tables.push_back({"Limits", {"", "", ""}, {}});
    add_values(tables.back(), limit_parameters(), m.limits.values);
  }
  if (!section.winding.sides.empty()) tables.push_back(coil_sides_table(section.winding));
  tables.push_back(material_table(section, kase.materials));
  return tables;
}

ReportTable asked_table(const Block& study) {
  ReportTable table{"What was asked", {"", "", ""}, {}};
  for (const StudyType& type : study_types())
    if (type.name == study.type) add_values(table, type.parameters, study.values);
  return table;
}

ReportTable run_table(const Section& section, const Mesh& mesh, const SolvedStudies& solved, double seconds) {
  ReportTable table{"This run", {"", ""}, {}};
  const double poles = 2.0 * section.pole_pairs;
  const double whole = static_cast<double>(mesh.triangles.size()) * section.sectors;
  table.rows = {{"program", fmt::format("polepitch {}", program_version())},
                {"mesh", fmt::format("{} second-order triangles in the sector, {:.0f} a pole", mesh.triangles.size(),
                                     whole / poles)},
                {"sector", section.sectors == 1 ? "the whole machine" : fmt::format("one of {}", section.sectors)},
                {"studies", std::to_string(solved.studies.size())},
                {"time until this page was written", fmt::format("{:.1f} s", seconds)}};
  return table;
}

}  // namespace polepitch
