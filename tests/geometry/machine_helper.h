// Machines for tests, written as a case file would write them: "air_gap" -> "2 mm". What is not given takes the
// default of its table.
#pragma once

#include <map>
#include <string>

#include "geometry/catalogue.h"
#include "geometry/machine.h"

namespace polepitch::testing {

using Texts = std::map<std::string, std::string>;

Block make_block(const std::string& path, const std::string& type, const std::vector<Parameter>& table,
                 const Texts& given);
const std::vector<Parameter>& table_of(const std::vector<CatalogueEntry>& catalogue, const std::string& name);

/// 4 pole pairs, 48 slots, 165 mm bore: an invented salient-pole generator; the maps override single values.
struct MachineTexts {
  std::string stator_type = "slotted", slot_type = "trapezoidal", rotor_type = "salient-pole", rotor_slot_type;
  Texts general, stator, slot, winding, rotor, rotor_slot, rotor_winding;
  bool wound = true;
};
MachineTexts salient_texts();
MachineTexts cage_texts();
MachineTexts magnet_texts();
MachineTexts layers_texts();
/// Rotor around the stator; the slotless one has a shaft in its stator.
MachineTexts outer_magnet_texts();
MachineTexts outer_slotless_texts();
/// The salient-pole machine's stator around another rotor, by the rotor's name; "… +" for its further options.
MachineTexts rotor_texts(const std::string& name);
/// Every rotor of the catalogue, some of them with further options.
std::vector<MachineTexts> all_rotor_texts();
Machine make_machine(const MachineTexts& texts);

/// Dimensions of a slot shape that fit the cage machine's stator or rotor.
Texts slot_texts(const std::string& shape, bool rotor);

/// What drawing came to. A section with a hole or an empty region, and a fault without a hint, fail the test.
struct Outcome {
  bool drawn = false;
  std::string text;
  ExitCode code = ExitCode::ok;
};
Outcome try_to_draw(const MachineTexts& texts);

}  // namespace polepitch::testing
