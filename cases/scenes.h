// A study's kept fields as a moving picture: what the report page and animations show.
#pragma once

#include "cases/study.h"
#include "post/mmf.h"
#include "post/scene.h"

namespace polepitch {

/// At most `most` frames, equally spaced, with their MMF vectors and torques. They point into `study`.
Scene scene_of(const StaticField& field, const MmfMoments& moments, const StudyResult& study, size_t most);

}  // namespace polepitch
