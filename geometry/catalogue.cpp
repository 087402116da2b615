// The lists that a new slot shape, stator or rotor type adds one line to.
#include "geometry/catalogue.h"

#include <fmt/format.h>

#include "geometry/side_types.h"
#include "geometry/slot_shapes.h"

namespace polepitch {

const std::vector<const SlotType*>& slot_types() {
  static const std::vector<const SlotType*> list = {
      &trapezoidal_slot(),        &rectangular_open_slot(), &round_bottom_slot(), &round_slot(),
      &closed_trapezoidal_slot(), &closed_round_slot(),     &double_slot(),       &drawn_slot(),
  };
  return list;
}

const std::vector<const StatorType*>& stator_types() {
  static const std::vector<const StatorType*> list = {
      &slotted_stator(),        &slotless_stator(), &inner_slotted_stator(),
      &inner_slotless_stator(), &drawn_stator(),    &inner_drawn_stator(),
  };
  return list;
}

const std::vector<const RotorType*>& rotor_types() {
  static const std::vector<const RotorType*> list = {
      &salient_pole_rotor(), &cylindrical_rotor(),  &surface_magnet_rotor(), &buried_flat_rotor(), &buried_v_rotor(),
      &spoke_rotor(),        &reluctance_rotor(),   &cage_rotor(),           &double_cage_rotor(), &wound_rotor(),
      &layers_rotor(),       &outer_magnet_rotor(), &drawn_rotor(),          &outer_drawn_rotor(),
  };
  return list;
}

namespace {

template <class Type>
std::vector<CatalogueEntry> entries(const std::vector<const Type*>& types) {
  std::vector<CatalogueEntry> list;
  for (const Type* type : types) list.push_back(type->entry);
  return list;
}

template <class Type>
const Type& find(const std::vector<const Type*>& types, const Block& block, const char* key) {
  std::vector<std::string> names;
  for (const Type* type : types) {
    if (type->entry.name == block.type) return *type;
    names.push_back(type->entry.name);
  }
  const std::string near = nearest_name(block.type, names);
  throw InputError(
      fmt::format("{}.{}: there is no '{}'", block.path, key, block.type),
      fmt::format("{}known: {}", near.empty() ? "" : "did you mean '" + near + "'? ", fmt::join(names, ", ")),
      block.place);
}

}  // namespace

const SlotType& slot_type(const Block& slot) {
  return find(slot_types(), slot, "shape");
}
const StatorType& stator_type(const Block& stator) {
  return find(stator_types(), stator, "type");
}
const RotorType& rotor_type(const Block& rotor) {
  return find(rotor_types(), rotor, "type");
}

const std::vector<CatalogueEntry>& slot_catalogue() {
  static const std::vector<CatalogueEntry> list = entries(slot_types());
  return list;
}

const std::vector<CatalogueEntry>& stator_catalogue() {
  static const std::vector<CatalogueEntry> list = entries(stator_types());
  return list;
}

const std::vector<CatalogueEntry>& rotor_catalogue() {
  static const std::vector<CatalogueEntry> list = entries(rotor_types());
  return list;
}

}  // namespace polepitch
