// A progress bar with the time left, on one line of a terminal.
#pragma once

#include <chrono>
#include <string>

namespace polepitch {

class Progress {
 public:
  /// Shows itself only when `wanted` and standard error is a terminal.
  explicit Progress(bool wanted);
  ~Progress();
  Progress(const Progress&) = delete;
  Progress& operator=(const Progress&) = delete;

  /// A new piece of work with its own bar: "torque-angle".
  void start(const std::string& label);
  /// Share done, 0 … 1. Redraws at most ten times a second.
  void update(double share);
  /// Takes the bar away.
  void clear();

 private:
  using Clock = std::chrono::steady_clock;
  bool shown_ = false;
  bool drawn_ = false;
  std::string label_;
  Clock::time_point begin_, last_;
};

/// "[#####-----]  50 %  torque-angle, 12 s left": one line of the bar. The time left is told once 1 s has passed.
std::string progress_line(const std::string& label, double share, double seconds);

}  // namespace polepitch
