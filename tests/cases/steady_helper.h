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

}  // namespace polepitch
