#include "cases/docs.h"

#include <fmt/format.h>

#include "cases/block_reader.h"
#include "cases/case_tables.h"

namespace polepitch {
namespace {

constexpr const char* opening = R"(# The case file

<!-- Made by `polepitch docs case-file` from the tables in the sources; do not edit by hand. -->

A case file is TOML. Every dimensional value is a text that carries its unit: `length = "165 mm"`. Any unit of the
right kind will do; a bare number there is an error, and so is a unit of another kind (a frequency takes `Hz` but not
`rad/s`, a speed takes `rpm` but not `Hz`, a rise of temperature takes `K` but not `degC`). Pure numbers stand without
quotes. A parameter without a default and not marked optional must be given. A key that is not listed here is an error.

A material is named as in `polepitch list materials`, or as in a file of `material_files`.
)";

std::string kind_text(const Parameter& p) {
  switch (p.form) {
    case Form::quantity:
      return std::string(describe(p.kind));
    case Form::integer:
      return "a whole number";
    case Form::choice:
      return "a choice";
    case Form::text:
      return names_material(p) ? "a material" : "a text";
    case Form::flag:
      return "true or false";
    case Form::quantity_list:
      return "a list, each " + std::string(describe(p.kind));
    case Form::integer_list:
      return "a list of whole numbers";
    case Form::integer_table:
      return "a list of lists of whole numbers";
    case Form::text_list:
      return names_material(p) ? "a list of materials" : "a list of texts";
  }
  return "";
}

std::string units_text(const Parameter& p) {
  const bool dimensional = (p.form == Form::quantity || p.form == Form::quantity_list) && p.kind != Kind::number;
  return dimensional ? std::string(example_units(p.kind)) : "";
}

std::string default_text(const Parameter& p) {
  if (!p.fallback.empty()) {
    const bool quoted =
        (p.form == Form::quantity && p.kind != Kind::number) || p.form == Form::choice || p.form == Form::text;
    return quoted ? "`\"" + p.fallback + "\"`" : "`" + p.fallback + "`";
  }
  return p.optional ? "optional" : "**required**";
}

/// A bar would end the cell of the table.
std::string cell(std::string text) {
  for (std::size_t i = text.find('|'); i != std::string::npos; i = text.find('|', i + 2)) text.insert(i, "\\");
  return text;
}

std::string table_text(const CaseTable& table) {
  std::string text;
  const std::string key = table.type_key.empty() ? "" : fmt::format(", {} = \"{}\"", table.type_key, table.type);
  text += table.header.empty() ? "\n## At the top\n" : fmt::format("\n## `{}`{}\n", table.header, key);
  text += "\n" + table.sentence + "\n";
  if (table.parameters.empty()) return text;
  text += "\n| key | what | units | allowed | default | meaning |\n|---|---|---|---|---|---|\n";
  for (const Parameter& p : table.parameters)
    text += fmt::format("| `{}` | {} | {} | {} | {} | {} |\n", p.name, kind_text(p), units_text(p),
                        cell(allowed_values(p)), default_text(p), cell(p.sentence));
  return text;
}

}  // namespace

std::string case_file_reference() {
  std::string text = opening;
  for (const CaseTable& table : case_tables()) {
    // Slots are the same on both sides; the reference prints them once.
    if (table.path == "rotor.slot") continue;
    CaseTable shown = table;
    if (table.path == "stator.slot") shown.header = "[stator.slot]` or `[rotor.slot]";
    text += table_text(shown);
  }
  return text;
}

}  // namespace polepitch
