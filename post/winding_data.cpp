#include "post/winding_data.h"

#include <algorithm>
#include <cmath>
#include <map>

#include <fmt/format.h>

#include "post/region_shape.h"

namespace polepitch {

namespace {

bool is_coil_side(const Region& region) {
  return region.side == Side::stator && region.role == Role::winding;
}

/// Insulation drawn round a coil side: then the side itself is bare conductor.
bool has_drawn_insulation(const Section& section, const Region& side) {
  return std::any_of(section.regions.begin(), section.regions.end(), [&](const Region& r) {
    return r.side == Side::stator && r.role == Role::insulation && r.slot == side.slot && r.layer == side.layer;
  });
}

/// What an inner lining of thickness t leaves of a face with four corners: exact for a rectangle.
double lined_area(const Section& section, const Region& region, double t) {
  return std::max(0.0, region.area - t * outline_length(section, region) + 4 * t * t);
}

double mean_coil_radius(const Section& section) {
  double area = 0, moment = 0;
  for (const Region& region : section.regions) {
    if (!is_coil_side(region)) continue;
    const Point centre = centre_of_area(section, region);
    area += region.area;
    moment += region.area * std::hypot(centre.x, centre.y);
  }
  return area > 0 ? moment / area : 0;
}

std::vector<std::string> warnings_of(const WindingData& data) {
  std::vector<std::string> warnings;
  if (data.fill.insulated > 1)
    warnings.push_back(
        fmt::format("the conductors of the fullest slot take {:.2f} times the area that the insulation "
                    "leaves: they do not fit",
                    data.fill.insulated));
  return warnings;
}

}  // namespace

double stated_conductor_area(const Block& winding) {
  const Values& v = winding.values;
  const bool round = v.has("wire_diameter"), width = v.has("conductor_width"), height = v.has("conductor_height");
  if (round && (width || height))
    throw InputError(winding.path + ".wire_diameter and " + winding.path +
                         ".conductor_width exclude each other: a strand is either round or rectangular",
                     "remove one of them", v.place("wire_diameter"));
  if (width != height)
    throw InputError(
        fmt::format("{0}.{1} is missing beside {0}.{2}", winding.path, width ? "conductor_height" : "conductor_width",
                    width ? "conductor_width" : "conductor_height"),
        "a rectangular strand needs both", v.place(width ? "conductor_width" : "conductor_height"));
  const double strands = v.integer("strands");
  if (round) return strands * pi / 4 * v.number("wire_diameter") * v.number("wire_diameter");
  return width ? strands * v.number("conductor_width") * v.number("conductor_height") : 0;
}

double conductor_area(const Section& section, const Block& winding) {
  const double stated = stated_conductor_area(winding);
  if (stated > 0) return stated;
  for (const Region& region : section.regions)
    if (is_coil_side(region) && has_drawn_insulation(section, region))
      return region.area / section.winding.turns_per_coil;
  return 0;
}

SlotFill slot_fill(const Section& section, double conductor_area, double insulation) {
  struct Slot {
    double copper = 0, body = 0, lined = 0;
  };
  std::map<int, Slot> slots;
  for (const Region& region : section.regions) {
    if (region.side != Side::stator || region.slot < 0) continue;
    if (is_coil_side(region)) {
      Slot& slot = slots[region.slot];
      slot.copper += section.winding.turns_per_coil * conductor_area;
      slot.body += region.area;
      slot.lined += has_drawn_insulation(section, region) ? region.area : lined_area(section, region, insulation);
    } else if (region.role == Role::insulation) {
      slots[region.slot].body += region.area;
    }
  }
  SlotFill largest;
  for (const auto& [number, slot] : slots) {
    if (slot.copper == 0) continue;
    largest.copper = std::max(largest.copper, slot.copper / slot.body);
    // Insulation that leaves nothing: the copper does not fit however small it is.
    largest.insulated = std::max(largest.insulated, slot.copper / std::max(slot.lined, 1e-6 * slot.body));
  }
  return largest;
}

double phase_resistance(const WindingLayout& layout, double mean_turn, double conductor_area, double conductivity) {
  return layout.turns_in_series() * mean_turn / (conductivity * conductor_area * layout.parallel_paths);
}

double current_density(const WindingLayout& layout, double conductor_area, double rms_current) {
  return rms_current / (layout.parallel_paths * conductor_area);
}

WindingData winding_data(const Section& section, const Machine& machine, const Materials& materials) {
  const WindingLayout& layout = section.winding;
  const Material& conductor = materials.at(machine.winding.values.text("material"));
  WindingData data;
  data.winding_factor = std::abs(winding_factor(layout, layout.pole_pairs));
  data.turns_in_series = layout.turns_in_series();
  data.end = end_turn(layout, mean_coil_radius(section), machine.winding);
  data.mean_turn = 2 * (section.length + data.end.length);
  data.end_inductance = end_winding_inductance(layout, data.end);
  data.conductor_area = conductor_area(section, machine.winding);
  if (data.conductor_area <= 0) return data;
  data.fill = slot_fill(section, data.conductor_area, machine.winding.values.number("insulation"));
  if (conductor.conductivity > 0)
    data.resistance = phase_resistance(layout, data.mean_turn, data.conductor_area,
                                       conductor.conductivity_at(machine.general.values.number("temperature")));
  const double turns = layout.phases * layout.parallel_paths * data.turns_in_series;  // of the whole winding
  data.mass = turns * data.mean_turn * data.conductor_area * conductor.density;
  data.warnings = warnings_of(data);
  return data;
}

FieldWindingData field_winding_data(const Section& section, const Machine& machine, const Materials& materials) {
  FieldWindingData data;
  const auto side = std::find_if(section.regions.begin(), section.regions.end(),
                                 [](const Region& r) { return r.role == Role::field_winding; });
  if (side == section.regions.end()) return data;
  const Values& v = machine.rotor.values;
  const Material& conductor = materials.at(side->material);
  const int poles = 2 * section.pole_pairs;
  data.paths = v.integer("field_parallel_paths");
  if (!v.has("field_turns")) {  // coils of a cylindrical rotor: each has two sides; their ends are not known
    for (const Region& region : section.regions)
      if (region.role == Role::field_winding)
        data.turns += std::abs(region.turns) * data.paths * section.sectors / (2.0 * poles);
    data.conductor_area = side->area / (std::abs(side->turns) * data.paths);
    return data;
  }
  data.turns = v.integer("field_turns");
  data.conductor_area = side->area / data.turns;
  data.mean_turn = 2 * (section.length + v.number("body_width")) +
                   2 * pi * (v.number("coil_insulation") + v.number("coil_width") / 2);
  const double wire = poles * data.turns * data.mean_turn;  // m of conductor, all poles
  if (conductor.conductivity > 0)
    data.resistance = wire / (conductor.conductivity_at(machine.general.values.number("temperature")) *
                              data.conductor_area * data.paths * data.paths);
  data.mass = wire * data.conductor_area * conductor.density;
  return data;
}

}  // namespace polepitch
