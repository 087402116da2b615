// A phasor diagram as a picture: arrows with their names, both axes of the rotor, and a table of magnitudes and angles.
#pragma once

#include "post/canvas.h"
#include "post/phasor_diagram.h"

namespace polepitch {

/// Voltages share one scale, currents another; both are stated under the picture.
Canvas draw_phasor_figure(const PhasorDiagram& diagram, const std::string& machine_title = "");

}  // namespace polepitch
