#include "cases/case_tables.h"

#include <fmt/format.h>

#include "cases/optimise_plan.h"
#include "cases/study.h"
#include "cases/variation_plan.h"
#include "geometry/catalogue.h"
#include "geometry/drawn_area.h"
#include "geometry/machine.h"

namespace polepitch {
namespace {

void add_catalogue(std::vector<CaseTable>& tables, const std::string& path, const std::string& key,
                   const std::vector<CatalogueEntry>& catalogue) {
  for (const CatalogueEntry& entry : catalogue)
    tables.push_back({"[" + path + "]", path, key, entry.name, entry.sentence, entry.parameters});
}

bool ends_with(const std::string& text, const std::string& tail) {
  return text.size() >= tail.size() && text.compare(text.size() - tail.size(), tail.size(), tail) == 0;
}

}  // namespace

const std::vector<Parameter>& case_parameters() {
  static const std::vector<Parameter> table = {
      {.name = "title", .form = Form::text, .optional = true, .sentence = "Title on pictures and reports."},
      {.name = "material_files",
       .form = Form::text_list,
       .optional = true,
       .sentence = "Material files of your own, beside the library; paths are relative to the case file.",
       .hint = "material_files = [\"my-steel.toml\"]"},
  };
  return table;
}

const std::vector<Parameter>& output_parameters() {
  static const std::vector<Parameter> table = {
      {.name = "field_angles",
       .form = Form::integer,
       .lower = 0,
       .upper = 720,
       .fallback = "12",
       .sentence = "Largest number of rotor angles for which a study writes field files; 0 writes none."},
      {.name = "pictures", .form = Form::flag, .fallback = "true", .sentence = "Whether pictures are drawn."},
  };
  return table;
}

bool names_material(const Parameter& parameter) {
  if (parameter.form != Form::text && parameter.form != Form::text_list) return false;
  const std::string& name = parameter.name;
  return name == "material" || name == "materials" || ends_with(name, "_material") || ends_with(name, "_materials");
}

std::vector<CaseTable> case_tables() {
  std::vector<CaseTable> tables = {
      {"", "", "", "", "Keys at the top of the file, before the first table.", case_parameters()},
      {"[rating]", "rating", "", "", "Optional: the rated values, the base of per unit.", rating_parameters()},
      {"[machine]", "machine", "", "", "What holds for the machine as a whole.", general_parameters()},
  };
  add_catalogue(tables, "stator", "type", stator_catalogue());
  add_catalogue(tables, "stator.slot", "shape", slot_catalogue());
  tables.push_back({"[winding]", "winding", "", "", "The stator winding; a slotless stator may be without one.",
                    winding_parameters()});
  add_catalogue(tables, "rotor", "type", rotor_catalogue());
  add_catalogue(tables, "rotor.slot", "shape", slot_catalogue());
  tables.push_back({"[rotor.winding]", "rotor.winding", "", "", "The winding of a wound rotor.", winding_parameters()});
  for (const char* side : {"stator", "rotor"})
    tables.push_back({fmt::format("[[{}.area]]", side), fmt::format("{}.area", side), "", "",
                      "What areas of the drawing of a drawn side are; as many tables as wanted "
                      "([drawings.md](drawings.md)).",
                      area_parameters()});
  tables.push_back({"[mesh]", "mesh", "", "", "Optional: how fine the mesh is.", mesh_parameters()});
  tables.push_back({"[limits]", "limits", "", "", "Optional: the design's limits, to which results are compared.",
                    limit_parameters()});
  tables.push_back({"[output]", "output", "", "", "Optional: what is written.", output_parameters()});
  for (const StudyType& study : study_types())
    tables.push_back({"[[study]]", "study", "type", study.name, study.sentence, study.parameters});
  tables.push_back({"[sweep]", "sweep", "", "", "Optional: what `polepitch sweep` varies ([sweeps.md](sweeps.md)).",
                    sweep_parameters()});
  tables.push_back({"[[sweep.parameter]]", "sweep.parameter", "", "", "One parameter that varies; as many as wanted.",
                    swept_parameter_parameters()});
  tables.push_back({"[optimise]", "optimise", "", "",
                    "Optional: what `polepitch optimise` seeks ([optimise.md](optimise.md)).", optimise_parameters()});
  tables.push_back({"[[optimise.variable]]", "optimise.variable", "", "",
                    "One number that may vary; as many as wanted.", optimise_variable_parameters()});
  tables.push_back({"[[optimise.objective]]", "optimise.objective", "", "",
                    "What is sought; of two or three the front is.", optimise_objective_parameters()});
  tables.push_back({"[[optimise.constraint]]", "optimise.constraint", "", "", "A limit; as many as wanted.",
                    optimise_constraint_parameters()});
  return tables;
}

}  // namespace polepitch
