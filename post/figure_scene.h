// One frame of a moving field as a picture: the field on one scale of all frames, both MMF vectors, and the point on
// the torque curve.
#pragma once

#include <vector>

#include "post/canvas.h"
#include "post/figure_axes.h"
#include "post/figure_field.h"
#include "post/scene.h"

namespace polepitch {

/// What all frames share, so that nothing but the field moves.
struct SceneScales {
  double flux_density = 0;  // T, start of the open top band
  double line_step = 0;     // Wb/m between neighbouring lines
  double mmf = 0;           // A, of the circle
  Range x, torque;          // of the curve
};

SceneScales scene_scales(const Mesh& mesh, const Scene& scene);

/// Frame `index` of the scene in `width` × `height` points, fitted and centred.
Canvas draw_scene_figure(const StaticField& field, const Scene& scene, std::size_t index, const SceneScales& scales,
                         const std::string& machine_title, double width, double height);

}  // namespace polepitch
