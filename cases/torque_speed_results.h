// What the study torque-speed hands back: key numbers, curves, contour pictures.
#pragma once

#include "cases/field_map.h"
#include "cases/torque_speed.h"

namespace polepitch {

struct TorqueSpeedRun {
  const StudyContext& context;
  const TorqueSpeedRequest& request;
  const FluxMapSurface& surface;
  const Drive& drive;
  const FieldMap& field;
  const IronLossMap& iron;
  const MapRequest& grid;
};

/// Peak of largest_current, or the rated one.
double phase_current_limit(const Block& study, double rated);

void report_torque_speed(const TorqueSpeedRun& run, StudyResult& result);

}  // namespace polepitch
