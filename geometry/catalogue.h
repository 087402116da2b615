// What the catalogue offers: each slot shape, stator type and rotor type is one file that states its parameters and
// draws itself; these lists name them. Adding one touches that file and one line of the list.
#pragma once

#include <string>
#include <vector>

#include "geometry/parameter.h"

namespace polepitch {

struct CatalogueEntry {
  std::string name;      // "salient-pole", as in the case file
  std::string sentence;  // what it is, ends with a full stop
  std::vector<Parameter> parameters;
  bool takes_slot = false;     // has a [stator.slot] or [rotor.slot] table
  bool takes_winding = false;  // has a [rotor.winding] table
  bool is_drawn = false;       // names a drawing with `file`
  bool takes_areas = false;    // has [[stator.area]] or [[rotor.area]] tables, which say what is what in the drawing
  bool rotor_outside = false;  // of machines whose rotor turns around the stator; both sides have to be
};

const std::vector<CatalogueEntry>& slot_catalogue();
const std::vector<CatalogueEntry>& stator_catalogue();
const std::vector<CatalogueEntry>& rotor_catalogue();

}  // namespace polepitch
