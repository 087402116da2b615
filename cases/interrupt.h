// Ctrl-C and SIGTERM stop a run between two steps: files are whole or absent, the exit code is 128 + signal.
#pragma once

namespace polepitch {

/// Thrown by throw_if_interrupted; no Error, since nothing is at fault.
struct Interrupted {
  int signal = 0;
};

/// Installs the handlers; a second signal ends the process at once. SIGPIPE and SIGXFSZ become errors of writing.
void catch_interrupts();

/// Cheap enough for every field solution.
void throw_if_interrupted();

}  // namespace polepitch
