#include "cases/interrupt.h"

#include <csignal>

namespace polepitch {
namespace {

volatile std::sig_atomic_t pending_signal = 0;

extern "C" void remember_signal(int signal) {
  pending_signal = signal;
}

}  // namespace

void catch_interrupts() {
  struct sigaction action = {};
  action.sa_handler = remember_signal;
  action.sa_flags = static_cast<int>(SA_RESETHAND);
  sigaction(SIGINT, &action, nullptr);
  sigaction(SIGTERM, &action, nullptr);
  std::signal(SIGPIPE, SIG_IGN);
  std::signal(SIGXFSZ, SIG_IGN);
}

void throw_if_interrupted() {
  if (pending_signal != 0) throw Interrupted{pending_signal};
}

}  // namespace polepitch
