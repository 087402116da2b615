// The curves that a DXF file draws with, each in the place where its blocks put it.
#pragma once

#include <string>
#include <vector>

#include "geometry/dxf_entities.h"
#include "geometry/dxf_groups.h"
#include "geometry/sketch.h"

namespace polepitch {

struct DxfCurveDrawer {
  DxfFaults& faults;
  Sketch& sketch;
  double tolerance;  // m
};

bool is_dxf_curve(const std::string& type);

/// Adds the curves of one entity to the sketch under `part`; `vertices` are those of a POLYLINE. False when it is of a
/// kind that is not read (a mesh as POLYLINE).
bool draw_dxf_curve(DxfCurveDrawer& drawer, const DxfRecord& record, const std::vector<DxfRecord>& vertices,
                    const Affine& place, int part);

}  // namespace polepitch
