// Moving fields for the report page: the mesh of one sector once, and of each frame the nodal A in 16 bits, the MMF
// vectors and the torque. The page contours them itself (post/page/scene.js).
#pragma once

#include <complex>
#include <string>
#include <vector>

#include "solver/static_field.h"

namespace polepitch {

struct SceneFrame {
  double x = 0;  // along the scene's axis, in its unit
  const StaticSolution* solution = nullptr;
  std::complex<double> stator, rotor;  // A, MMF vectors, electrical, in the stator's frame
  double torque = 0;                   // N m
};

struct Scene {
  std::string study, title, x_name, x_unit;
  std::vector<SceneFrame> frames;
  std::vector<double> curve_x, curve_torque;  // the study's own curve under the moving point; may be empty
};

/// Largest difference of the page's A from a frame's [Wb/m]: half a step of 16 bits over the frame's largest.
double quantisation(const StaticSolution& solution);

/// JSON: {"nodes", "triangles", "regions" (base64 of float, uint32, uint16), "stator_nodes", "sectors", "sign",
/// "sector_angle", "pole_pairs", "radius" [m], "gap": {"stator", "rotor"} (node numbers of both gap circles,
/// counter-clockwise), "parts": [{name, material, side, curve, remanence…}], "curves": [{b, h}], "scenes": [{study,
/// title, x, curve, frames: [{x, angle [rad], joined, torque, stator, rotor, scale [Wb/m], a}]}]}. A = scale × the
/// 16-bit value; `joined` is false where one wave alone crosses the gap (CageField::instant).
std::string scenes_json(const StaticField& field, const std::vector<Scene>& scenes);

}  // namespace polepitch
