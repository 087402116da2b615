#include "cases/describe.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <numbers>

#include "geometry/drawn_side.h"
#include "geometry/dxf_reader.h"
#include "geometry/machine.h"
#include "geometry/winding.h"
#include "post/atomic_file.h"
#include "post/cage_ends.h"
#include "post/figure_dimensions.h"
#include "post/figure_mesh.h"
#include "post/figure_section.h"
#include "post/masses.h"
#include "post/quantity_list.h"
#include "post/rotor_winding.h"
#include "post/winding_data.h"

namespace polepitch {
namespace {

constexpr double pi = std::numbers::pi;
constexpr const char* study = "description";

void add(Results& results, const char* name, double value, const char* method, bool key = true) {
  Quantity q = quantity(name, value, method);
  q.study = study;
  q.key_result = key;
  results.quantities.push_back(std::move(q));
}

/// Every mechanical order to the 49th of the pole-pair order, sub-harmonics included, that the winding makes.
ResultCurve winding_factor_curve(const WindingLayout& layout) {
  ResultCurve curve{study, "winding_factors", "Winding factors of phase A", {}, true};
  Column order{"mechanical_order", "", {}}, electrical{"electrical_order", "", {}, false},
      factor{"winding_factor", "", {}}, angle{"angle", "deg", {}, false};
  for (int nu = 1; nu <= 49 * layout.pole_pairs; ++nu) {
    const std::complex<double> k = winding_factor(layout, nu);
    if (std::abs(k) < 1e-9) continue;
    order.values.push_back(nu);
    electrical.values.push_back(static_cast<double>(nu) / layout.pole_pairs);
    factor.values.push_back(std::abs(k));
    angle.values.push_back(std::arg(k) * 180 / pi);
  }
  curve.columns = {order, electrical, factor, angle};
  return curve;
}

/// At the instant of the largest current in phase A, 1 A peak: one electrical period, or the whole circle where the
/// winding makes sub-harmonics.
ResultCurve mmf_curve(const WindingLayout& layout) {
  std::vector<double> currents, angles;
  for (int k = 0; k < layout.phases; ++k) {
    const double shift = layout.phases % 2 != 0 ? 2 * pi * k / layout.phases : pi * k / layout.phases;
    currents.push_back(std::cos(shift));
  }
  constexpr int points = 1440;
  Column angle{"angle", "deg", {}}, mmf{"mmf", "A", {}};
  for (int i = 0; i <= points; ++i) {
    angle.values.push_back(360.0 * i / points);
    angles.push_back(2 * pi * i / points);
  }
  mmf.values = mmf_waveform(layout, currents, angles);
  return {study, "mmf", "MMF of the stator winding, 1 A peak in phase A", {angle, mmf}, false};
}

/// Rated current where there is a rating: what it means for the conductors.
void describe_load(Results& results, const Machine& machine, const WindingLayout& layout, const WindingData& data) {
  if (!machine.rating.present || data.conductor_area <= 0) return;
  const double current = per_unit_base(machine).current / std::numbers::sqrt2;
  const char* method = "at rated current";
  const double density = current_density(layout, data.conductor_area, current);
  add(results, "J_phase", density * 1e-6, method);
  add(results, "copper_loss_stator", layout.phases * data.resistance * current * current, method);
  const Values& limits = machine.limits.values;
  if (limits.has("current_density") && density > limits.number("current_density"))
    results.warnings.push_back(
        fmt::format("the current density at rated current, {}, exceeds the limit of {}",
                    format_quantity(Kind::current_density, density, "A/mm^2"),
                    format_quantity(Kind::current_density, limits.number("current_density"), "A/mm^2")));
}

void describe_winding(Results& results, const Case& kase, const Section& section) {
  const WindingLayout& layout = section.winding;
  const WindingData data = winding_data(section, kase.machine, kase.materials);
  add(results, "winding_factor", data.winding_factor, "closed form");
  add(results, "turns_in_series", data.turns_in_series, "count");
  if (data.conductor_area > 0) {
    add(results, "slot_fill", data.fill.copper, "drawn areas");
    add(results, "R_phase", data.resistance, data.end.method.c_str());
    add(results, "mass_stator_copper", data.mass, data.end.method.c_str());
  }
  if (kase.machine.rating.present)
    add(results, "X_end_winding", per_unit_base(kase.machine).omega * data.end_inductance, end_winding_method().c_str(),
        false);
  describe_load(results, kase.machine, layout, data);
  results.warnings.insert(results.warnings.end(), data.warnings.begin(), data.warnings.end());
  results.curves.push_back(winding_factor_curve(layout));
  results.curves.push_back(mmf_curve(layout));
}

void describe_field_winding(Results& results, const Case& kase, const Section& section) {
  const FieldWindingData data = field_winding_data(section, kase.machine, kase.materials);
  if (data.resistance > 0) add(results, "R_field", data.resistance, "mean turn round the pole body");
  if (data.mass > 0) add(results, "mass_rotor_copper", data.mass, "mean turn round the pole body");
}

void describe_rotor_circuit(Results& results, const Case& kase, const Section& section) {
  const RotorWindingData wound = rotor_winding_data(section, kase.machine, kase.materials);
  if (wound.turns_in_series > 0) {
    add(results, "rotor_winding_factor", wound.winding_factor, "closed form");
    add(results, "rotor_turns_in_series", wound.turns_in_series, "count");
  }
  if (wound.resistance > 0) add(results, "R_rotor_phase", wound.resistance, wound.end.method.c_str());
  const std::string& type = kase.machine.rotor.type;
  if (type != "cage" && type != "double-cage") return;
  const CageEnds ends =
      cage_ends(section, kase.machine.rotor, kase.materials, kase.machine.general.values.number("temperature"));
  if (ends.ring.resistance > 0) {
    add(results, "ring_segment_resistance", ends.ring.resistance, "dimensions, or as given", false);
    add(results, "ring_segment_inductance", ends.ring.inductance, "dimensions, or as given", false);
  }
}

/// A part that the machine does not have, or whose material states no density, has no mass to tell.
void describe_masses(Results& results, const Case& kase, const Section& section) {
  const auto part = [&](const char* name, Side side, Role role) {
    const double mass = mass_of(section, kase.materials, side, role);
    if (mass > 0) add(results, name, mass, "drawn areas times stack length");
  };
  part("mass_stator_core", Side::stator, Role::core);
  part("mass_rotor_core", Side::rotor, Role::core);
  part("mass_cage", Side::rotor, Role::bar);
  part("mass_magnets", Side::rotor, Role::magnet);
}

/// What the reader of a drawing left out; both sides may stand in one file.
void describe_drawings(Results& results, const Machine& machine) {
  for (std::string& words : drawn_warnings(machine)) results.warnings.push_back(std::move(words));
  for (const Block* block : {&machine.stator, &machine.stator_slot, &machine.rotor, &machine.rotor_slot}) {
    if (block->drawing == nullptr) continue;
    for (const Diagnostic& d : block->drawing->warnings) {
      const std::string words = d.place.line > 0 ? fmt::format("{}, line {}: {}", d.place.file, d.place.line, d.message)
                                                 : fmt::format("{}: {}", d.place.file, d.message);
      if (std::find(results.warnings.begin(), results.warnings.end(), words) == results.warnings.end())
        results.warnings.push_back(words);
    }
  }
}

void describe_mesh(Results& results, const Mesh& mesh, int pole_pairs) {
  add(results, "triangles_per_pole", mesh.triangles_per_pole(pole_pairs), "count");
  add(results, "mesh_smallest_angle", mesh.quality.smallest_angle * 180 / pi, "mesh");
  add(results, "mesh_mean_shape", mesh.quality.mean_shape, "mesh", false);
  add(results, "mesh_worst_shape", mesh.quality.worst_shape, "mesh", false);
}

}  // namespace

Results describe_machine(const Case& kase, const Section& section, const Mesh& mesh) {
  Results results;
  if (kase.machine.winding.present) describe_winding(results, kase, section);
  describe_field_winding(results, kase, section);
  describe_rotor_circuit(results, kase, section);
  describe_masses(results, kase, section);
  describe_drawings(results, kase.machine);
  describe_mesh(results, mesh, section.pole_pairs);
  return results;
}

std::vector<std::string> draw_description(const Case& kase, const Section& section, const Mesh& mesh,
                                          const std::string& directory) {
  SectionFigureOptions whole;
  whole.title = kase.title;
  const std::vector<Dimension> dimensions = dimensions_of(kase.machine);
  const std::vector<std::pair<std::string, Canvas>> figures = {
      {"section", draw_section_figure(section, whole)},
      {"stator_dimensions", draw_dimensions_figure(section, dimensions, Side::stator, kase.title)},
      {"rotor_dimensions", draw_dimensions_figure(section, dimensions, Side::rotor, kase.title)},
      {"mesh", draw_mesh_figure(section, mesh, {.title = kase.title})},
  };
  std::vector<std::string> files;
  for (const auto& [name, canvas] : figures)
    for (const auto& [extension, format] : {std::pair{".png", PictureFormat::png}, {".svg", PictureFormat::svg}}) {
      files.push_back(name + extension);
      write_file(directory + "/" + files.back(), canvas.render(format));
    }
  return files;
}

}  // namespace polepitch
