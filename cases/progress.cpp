#include "cases/progress.h"

#include <fmt/format.h>
#include <unistd.h>

#include <algorithm>
#include <cmath>
#include <cstdio>

namespace polepitch {

std::string progress_line(const std::string& label, double share, double seconds) {
  constexpr int width = 30;
  share = std::clamp(std::isfinite(share) ? share : 0.0, 0.0, 1.0);
  const int full = static_cast<int>(std::lround(share * width));
  std::string left;
  if (seconds > 1 && share > 0.01) {
    const double rest = std::ceil(seconds * (1 - share) / share);
    left = rest < 120 ? fmt::format(", {:.0f} s left", rest) : fmt::format(", {:.0f} min left", std::ceil(rest / 60));
  }
  return fmt::format("[{}{}] {:3.0f} %  {}{}", std::string(static_cast<std::size_t>(full), '#'),
                     std::string(static_cast<std::size_t>(width - full), '-'), std::floor(100 * share), label, left);
}

Progress::Progress(bool wanted) : shown_(wanted && ::isatty(STDERR_FILENO) == 1) {}

Progress::~Progress() {
  clear();
}

void Progress::start(const std::string& label) {
  label_ = label;
  begin_ = Clock::now();
  last_ = begin_ - std::chrono::seconds(1);
  update(0);
}

void Progress::update(double share) {
  const auto now = Clock::now();
  if (!shown_ || now - last_ < std::chrono::milliseconds(100)) return;
  last_ = now;
  drawn_ = true;
  const double seconds = std::chrono::duration<double>(now - begin_).count();
  std::fprintf(stderr, "\r\033[K%s", progress_line(label_, share, seconds).c_str());
  std::fflush(stderr);
}

void Progress::clear() {
  if (drawn_) std::fprintf(stderr, "\r\033[K");
  drawn_ = false;
}

}  // namespace polepitch
