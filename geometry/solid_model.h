// Faces of a STEP or BREP file as a drawing: their outlines as lines and arcs.
#pragma once

#include <string>

#include "geometry/dxf_reader.h"

namespace polepitch {

/// Whether a file's name ends as that of a solid model does: .step, .stp, .brep.
bool is_solid_model(const std::string& path);

/// Every face that lies in the plane z = 0: its edges become lines and arcs (other curves arcs within the tolerance) on
/// a layer with the face's name ("face 3" where it has none), and a text with that name stands inside. STEP states its
/// unit; for BREP, which has none, options.unit is needed. Throws InputError and FileError. Not thread-safe (Gmsh).
DxfDrawing read_solid_model(const std::string& path, const DxfOptions& options);

}  // namespace polepitch
