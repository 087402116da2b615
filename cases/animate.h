// `polepitch animate`: one study of a case solved for its fields, drawn frame by frame into a GIF or numbered pictures.
#pragma once

#include <string>

#include "cases/progress.h"

namespace polepitch {

struct AnimateRequest {
  std::string case_path;
  std::string output;  // GIF file or, of a series, directory; "" = the case's name and the study's, here
  std::string study;   // "load-angle"; "" = the first that keeps fields
  bool series = false;
  int frames = 36;
  int width = 1280, height = 768;  // pixels
  int milliseconds = 100;          // a frame
  int jobs = 1;
};

struct AnimateReport {
  std::string study, output;
  int frames = 0;
  std::string axis;  // "slip from 1 to 0"
};

/// A study may have fewer points than frames are asked for. Throws the Error family and Interrupted.
AnimateReport animate_case(const AnimateRequest& request, Progress& progress);

}  // namespace polepitch
