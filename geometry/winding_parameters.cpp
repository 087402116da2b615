// The declared parameters of [winding].
#include "geometry/machine.h"

namespace polepitch {
namespace {

Parameter whole(const char* name, double lower, double upper, const char* fallback, const char* sentence) {
  return {
      .name = name, .form = Form::integer, .lower = lower, .upper = upper, .fallback = fallback, .sentence = sentence};
}

Parameter size(const char* name, double lower, double upper, const char* fallback, const char* sentence) {
  return {.name = name,
          .kind = Kind::length,
          .unit = "mm",
          .lower = lower,
          .upper = upper,
          .fallback = fallback,
          .optional = *fallback == '\0',
          .sentence = sentence};
}

std::vector<Parameter> make_table() {
  return {
      whole("phases", 1, 15, "3", "Number of phases m."),
      whole("layers", 1, 2, "2", "Coil sides above one another in a slot."),
      {.name = "coil_span",
       .form = Form::integer,
       .lower = 1,
       .upper = 500,
       .optional = true,
       .sentence = "Slots from one side of a coil to the other; about a pole pitch when it is not given."},
      whole("turns_per_coil", 1, 5000, "", "Turns of one coil."),
      whole("parallel_paths", 1, 200, "1", "Parallel paths of a phase."),
      whole("strands", 1, 1000, "1", "Strands in parallel that make one conductor."),
      size("wire_diameter", 0.02, 20, "", "Bare diameter of one round strand."),
      size("conductor_width", 0.1, 100, "", "Bare width of one rectangular strand, along the slot width."),
      size("conductor_height", 0.1, 100, "", "Bare height of one rectangular strand, along the slot depth."),
      size("insulation", 0, 20, "0.3 mm", "Thickness of the insulation between slot wall and conductors."),
      {.name = "layer_split",
       .lower = 0.1,
       .upper = 0.9,
       .fallback = "0.5",
       .sentence = "Share of the height of the slot body that the layer at the slot bottom takes."},
      {.name = "coils",
       .form = Form::integer_table,
       .lower = -2000,
       .upper = 2000,
       .optional = true,
       .sentence =
           "Coil table instead of the star of slots: one row [from slot, to slot, phase] a coil, slots and phases "
           "counted from 1, a negative phase for a coil the other way round.",
       .hint = "coils = [[1, 8, 1], [2, 9, 1], [3, 10, -3]]"},
      {.name = "material", .form = Form::text, .fallback = "copper", .sentence = "Material of the conductors."},
      size("overhang", 0, 2000, "", "Straight axial length by which a coil leaves the stack at each end."),
      size("end_height", 0, 2000, "", "Axial height of the slanted part of the coil ends, for their leakage."),
  };
}

}  // namespace

const std::vector<Parameter>& winding_parameters() {
  static const std::vector<Parameter> table = make_table();
  return table;
}

}  // namespace polepitch
