// A test machine with a mesh of its own and what a study is given, for the steady state and the studies on it.
#pragma once

#include <string>

#include "cases/case.h"
#include "cases/field_pool.h"
#include "cases/study.h"

namespace polepitch {

struct SteadyCase {
  /// `text_or_name`: the text of a case, or the name of a file in tests/physics.
  explicit SteadyCase(const std::string& text_or_name, double density = 0.5, int workers = 2);
  Case kase;
  Section section;
  Mesh mesh;
  FieldPool fields;
  StudyContext context;
};

/// Text of the small salient machine of tests/physics; `linear`: of constant permeability and full pitch (with a
/// shorter one the layers, of which the upper takes more of the slots' flux, turn E a little off q).
std::string small_salient_machine(bool linear);

/// A [[study]] table to append.
std::string study_text(const std::string& type, const std::string& lines);

/// Checks and runs the case's study of that index.
StudyResult run_study(SteadyCase& machine, size_t index);

/// Value of the first quantity of that name, and of that `sense` when given; a test failure where there is none.
double value(const StudyResult& result, const std::string& name, const std::string& sense = "");

}  // namespace polepitch
