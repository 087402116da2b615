#include "cases/scenes.h"

#include <algorithm>

namespace polepitch {
namespace {

/// The study's own curve for the moving point: torque over the frames' axis.
void add_curve(Scene& scene, const StudyResult& study) {
  for (const ResultCurve& curve : study.results.curves) {
    if (curve.name != study.frame_axis.curve) continue;
    for (const Column& column : curve.columns)
      if (column.name == study.frame_axis.column) {
        scene.curve_x = curve.columns.front().values;
        scene.curve_torque = column.values;
      }
  }
}

}  // namespace

Scene scene_of(const StaticField& field, const MmfMoments& moments, const StudyResult& study, size_t most) {
  const FrameAxis& axis = study.frame_axis;
  Scene scene{study.frames.front().study, axis.title, axis.name, axis.unit, {}, {}, {}};
  const size_t count = std::min(study.frames.size(), most);
  for (size_t k = 0; k < count; ++k) {
    const FieldFrame& frame = study.frames[k * study.frames.size() / count];
    const MmfVectors mmf = mmf_vectors(field.section(), moments, frame.excitation);
    scene.frames.push_back({frame.at.value_or(frame.solution.rotor_angle * 180 / pi), &frame.solution, mmf.stator,
                            mmf.rotor, frame.torque ? *frame.torque : field.torque(frame.solution)});
  }
  add_curve(scene, study);
  return scene;
}

}  // namespace polepitch
