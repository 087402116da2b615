// What is asked of a machine. A study is one file: it states its parameters, poses fields, calls quantities and hands
// back numbers, curves and a few fields to draw. study_types() lists them.
#pragma once

#include <functional>
#include <optional>
#include <string>
#include <vector>

#include "cases/case.h"
#include "cases/field_pool.h"
#include "cases/forerun.h"
#include "post/results.h"
#include "solver/static_field.h"

namespace polepitch {

/// A field kept for pictures and field files.
struct FieldFrame {
  std::string study;
  Excitation excitation;
  StaticSolution solution;
  double time = 0;                 // running number of the frame
  std::optional<double> at{};      // along StudyResult::frame_axis; the rotor angle where there is none
  std::optional<double> torque{};  // N m, where it is not the still field's own (a mean over a period)
};

/// What the frames of a study are taken along, and the study's own torque curve over it.
struct FrameAxis {
  std::string name = "rotor_angle", unit = "deg";
  std::string curve = {}, column = "torque";  // of StudyResult::results.curves; "" for none
  std::string title = "field of the rotor's positions";
};

struct StudyResult {
  Results results;
  std::vector<FieldFrame> frames;
  FrameAxis frame_axis;
  size_t pictured = 0;  // the frame that is drawn
};

struct StudyContext {
  const Case& kase;
  const Section& section;
  const Mesh& mesh;
  FieldPool& fields;                     // of this mesh, one per worker
  std::string name;                      // "torque-angle", or "torque-angle-2" when listed twice
  std::function<void(double)> progress;  // 0 … 1; throws when the run was interrupted
  Forerun* keeps = nullptr;              // the coarser mesh's run: where sweeps leave their fields
  const Forerun* forerun = nullptr;      // the finer mesh's run: where sweeps start from
  int sweeps = 0;                        // begun so far: tells them apart
  std::string directory = {};            // of the run, for what long studies keep as they go; "": nothing is kept
};

struct StudyType {
  std::string name;
  std::string sentence;
  std::vector<Parameter> parameters;
  std::function<StudyResult(StudyContext&, const Block&)> run;
  /// Throws InputError where the study does not fit the machine; asked before anything is meshed.
  std::function<void(const Case&, const Section&, const Block&)> check;
  bool needs_rating = false;  // refused without a [rating]
  /// A few points of the study, at which the mesh is adapted.
  std::function<std::vector<Excitation>(const Case&, const Section&, const Block&)> states = {};
  /// Fields that are not static, to which the mesh is adapted as well: see AdaptRequest::beside. The numbers come to
  /// five times the case's accuracy.
  std::function<std::vector<double>(const Case&, const Section&, const Block&, const Mesh&, std::vector<double>& share)>
      beside = {};
  bool keeps_frames = false;  // along an axis, as [output] field_angles wants them: can be animated
  /// Largest edges of triangles [m] by region, 0: no limit (AdaptRequest::largest_edges).
  std::function<std::vector<double>(const Case&, const Section&, const Block&)> largest_edges = {};
  bool stepped = false;  // in time, with elements of second order
};

const std::vector<StudyType>& study_types();

}  // namespace polepitch
