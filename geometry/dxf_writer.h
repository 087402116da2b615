// Writes a section as a drawing.
#pragma once

#include <string>

#include "geometry/section.h"

namespace polepitch {

/// The sector of both sides as DXF in ASCII (R12 with $INSUNITS, millimetres, 17 digits): lines and arcs on layers
/// named by side and role ("STATOR-CORE", "ROTOR-FIELD-WINDING"; "STATOR-GAP-CIRCLE"), and in each region a text with
/// its name on the layer of its role. A curve between two regions lies on the layer of the smaller part: magnet and
/// conductor before wedge and insulation, these before core, core before air.
std::string dxf_text(const Section& section);

/// "STATOR-CORE"
std::string dxf_layer(Side side, Role role);

}  // namespace polepitch
