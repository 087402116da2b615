#include "cases/docs.h"

#include <fmt/format.h>

#include "cases/block_reader.h"
#include "cases/case_tables.h"
#include "cases/material_library.h"
#include "geometry/error.h"

namespace polepitch {
namespace {

constexpr const char* case_file_opening = R"(# The case file

<!-- Made by `polepitch docs case-file` from the tables in the sources; do not edit by hand. -->

A case file is TOML. Every dimensional value is a text that carries its unit: `length = "165 mm"`. Any unit of the
right kind will do; a bare number there is an error, and so is a unit of another kind (a frequency takes `Hz` but not
`rad/s`, a speed takes `rpm` but not `Hz`, a rise of temperature takes `K` but not `degC`). Pure numbers stand without
quotes. A parameter without a default and not marked optional must be given. A key that is not listed here is an error.

A material is named as in `polepitch list materials`, or as in a file of `material_files`; what such a file holds is in
[material-file.md](material-file.md).
)";

constexpr const char* material_file_opening = R"(# The material file

<!-- Made by `polepitch docs material-file` from the tables in the sources; do not edit by hand. -->

A material that `polepitch list materials` does not know is a TOML file of your own, one material a file. It is named
after the file: `my-steel.toml` is the material `my-steel`. A case takes it with a line at its top, the path relative to
the case file, and then names it like any other:

    material_files = ["my-steel.toml"]

    [machine]
    stator_material = "my-steel"

A name of the library cannot be taken again. Values with a unit stand in quotes, as in [the case file](case-file.md); a
key that is not listed here is an error.

- A steel needs a B-H table (`bh_csv`, or the lists `b` and `h` of equal length) or a constant `mu_r`, not both.
- A conductor needs its `conductivity`.
- A magnet needs its `remanence`, and has `mu_r` of its recoil line instead of a B-H table. Nothing else has a remanence.
- A gas or an insulation needs neither; its relative permeability is 1 unless `mu_r` says otherwise.

- A magnet that states its `knee_field` is checked against it: `demagnetised_share` of `operating-point` and
  `torque-angle`. With `knee_coefficient` the knee follows `magnet_temperature`.

The iron-loss coefficients serve the studies iron-loss and torque-speed; without them both refuse the material.
)";

constexpr const char* bh_table_section = R"(
## The B-H table as CSV

`bh_csv` names a CSV file, its path relative to the material file. An invented example, `my-steel.toml`:

    kind = "steel"
    source = "invented"
    invented = true
    density = "7700 kg/m^3"
    bh_csv = "my-steel.csv"

and `my-steel.csv` beside it:

    # invented numbers
    H_A_per_m,B_T
    0,0
    50,0.3
    100,0.85
    200,1.2
    1000,1.45
    5000,1.65
    20000,1.9

- The text is UTF-8, with or without a byte order mark. Empty lines and lines that begin with `#` are passed over.
- The first other line is the header `H_A_per_m,B_T`: field strength in A/m and flux density of the sheet in T (not the
  polarisation J = B - mu_0 H), of the first magnetisation or the commutation curve. The two columns may stand in any
  order and among others, which are left alone. Each later line is one row.
- Commas separate the columns, the decimal sign is a point, and no unit stands behind a number.

Checked of this table, and of the lists `b` and `h`, is that there are at least two rows, the first at B = 0 and H = 0;
that H and B both rise from row to row; and that dB/dH between two rows is nowhere under mu_0, the slope of vacuum.
Faults of the CSV are told with its own name and line.

Between the rows H(B) is a cubic in each interval, joined with a continuous slope, that rises wherever the rows do. Past
the last row the slope dB/dH falls smoothly to mu_0, and from there the curve is the straight line of saturated iron. The
stretch in between spans 3 H dB/dH, of the last row: a table that ends in the knee overrates the steel, so give rows up
to the largest flux density that the machine sees. A result warns when the iron is past its table.
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

std::string case_file_reference() {
  std::string text = case_file_opening;
  for (const CaseTable& table : case_tables()) {
    // Slots and areas are the same on both sides; the reference prints them once.
    if (table.path == "rotor.slot" || table.path == "rotor.area") continue;
    CaseTable shown = table;
    if (table.path == "stator.slot") shown.header = "[stator.slot]` or `[rotor.slot]";
    if (table.path == "stator.area") shown.header = "[[stator.area]]` or `[[rotor.area]]";
    text += table_text(shown);
  }
  return text;
}

std::string material_file_reference() {
  std::string text = material_file_opening;
  text += table_text({"", "", "", "", "Keys before the first table.", material_parameters()});
  text += table_text({"[iron_loss]", "iron_loss", "", "", "Optional: specific loss at sinusoidal flux density.",
                      iron_loss_parameters()});
  return text + bh_table_section;
}

}  // namespace

const std::vector<std::string>& reference_topics() {
  static const std::vector<std::string> topics = {"case-file", "material-file"};
  return topics;
}

std::string reference_text(const std::string& topic) {
  if (topic == "case-file") return case_file_reference();
  if (topic == "material-file") return material_file_reference();
  throw UsageError(fmt::format("there is no reference \"{}\"", topic), suggestion(topic, reference_topics()));
}

}  // namespace polepitch
