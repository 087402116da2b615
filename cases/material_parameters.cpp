// The declared parameters of a material file.
#include "cases/material_library.h"

namespace polepitch {
namespace {

Parameter quantity(const char* name, Kind kind, const char* unit, double lower, double upper, const char* sentence) {
  return {
      .name = name, .kind = kind, .unit = unit, .lower = lower, .upper = upper, .optional = true, .sentence = sentence};
}

Parameter text(const char* name, const char* fallback, const char* sentence) {
  return {.name = name, .form = Form::text, .fallback = fallback, .optional = *fallback == '\0', .sentence = sentence};
}

Parameter list(const char* name, const char* sentence) {
  return {.name = name, .form = Form::quantity_list, .optional = true, .sentence = sentence};
}

Parameter loss(const char* name, double lower, double upper, const char* fallback, const char* sentence) {
  return {.name = name, .lower = lower, .upper = upper, .fallback = fallback, .sentence = sentence};
}

}  // namespace

const std::vector<Parameter>& material_parameters() {
  static const std::vector<Parameter> table = {
      {.name = "kind",
       .form = Form::choice,
       .choices = {"steel", "conductor", "magnet", "gas", "insulation"},
       .sentence = "What the material is."},
      {.name = "source", .form = Form::text, .sentence = "Where the data come from; \"invented\" for made-up data."},
      {.name = "invented", .form = Form::flag, .fallback = "false", .sentence = "Whether the data are made up."},
      quantity("mu_r", Kind::number, "", 0.9, 1e6, "Relative permeability of a linear material, 1 when not given."),
      list("b", "Flux density of the B-H table, rising from 0."),
      text("b_unit", "T", "Unit of the list b."),
      list("h", "Field strength of the B-H table, rising from 0."),
      text("h_unit", "A/m", "Unit of the list h."),
      text("bh_csv", "", "File with the B-H table instead of the lists; the path is relative to this file."),
      quantity("conductivity", Kind::conductivity, "MS/m", 1e-12, 100, "Electrical conductivity at 20 degC."),
      quantity("temperature_coefficient", Kind::temperature_coefficient, "1/K", -0.01, 0.02,
               "Coefficient of the resistivity, referred to 20 degC."),
      quantity("density", Kind::density, "kg/m3", 0.01, 25000, "Mass per volume."),
      quantity("remanence", Kind::flux_density, "T", 0.01, 2, "Remanence of a magnet at 20 degC."),
      quantity("remanence_coefficient", Kind::temperature_coefficient, "1/K", -0.01, 0.01,
               "Coefficient of the remanence, referred to 20 degC."),
      quantity("knee_field", Kind::current_sheet, "kA/m", -1e4, 0,
               "Field strength at 20 degC beyond which a magnet loses magnetisation for good."),
      quantity("knee_coefficient", Kind::temperature_coefficient, "1/K", -0.02, 0.02,
               "Coefficient of the knee field, referred to 20 degC; that of the coercivity serves."),
  };
  return table;
}

const std::vector<Parameter>& iron_loss_parameters() {
  static const std::vector<Parameter> table = {
      loss("hysteresis", 0, 1, "", "k_h of the loss k_h f B^exponent in W/kg, f in Hz and B in T."),
      loss("exponent", 1, 3, "2", "Exponent of B in the hysteresis loss."),
      loss("classical", 0, 1, "", "k_c of the classical eddy-current loss k_c (f B)^2 in W/kg."),
      loss("excess", 0, 1, "0", "k_e of the excess loss k_e (f B)^1.5 in W/kg."),
  };
  return table;
}

}  // namespace polepitch
