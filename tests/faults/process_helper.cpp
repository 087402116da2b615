#include "tests/faults/process_helper.h"

#include <fcntl.h>
#include <sys/resource.h>
#include <sys/wait.h>
#include <unistd.h>

#include <chrono>
#include <csignal>
#include <stdexcept>
#include <thread>

#include "tests/cases/case_text_helper.h"

namespace polepitch {
namespace {

[[noreturn]] void become_program(const std::vector<std::string>& arguments, const ProcessOptions& options,
                                 const std::string& out, const std::string& err) {
  const int out_file = open(out.c_str(), O_WRONLY | O_CREAT, 0600),
            err_file = open(err.c_str(), O_WRONLY | O_CREAT, 0600);
  if (out_file < 0 || err_file < 0 || dup2(out_file, 1) < 0 || dup2(err_file, 2) < 0) _exit(126);
  if (!options.directory.empty() && chdir(options.directory.c_str()) != 0) _exit(126);
  if (options.largest_file >= 0) {
    const rlimit limit{static_cast<rlim_t>(options.largest_file), static_cast<rlim_t>(options.largest_file)};
    if (setrlimit(RLIMIT_FSIZE, &limit) != 0) _exit(126);
  }
  if (options.unprivileged && geteuid() == 0 && (setgid(65534) != 0 || setuid(65534) != 0)) _exit(126);
  if (options.cpu_seconds >= 0) {
    const rlimit limit{static_cast<rlim_t>(options.cpu_seconds), static_cast<rlim_t>(options.cpu_seconds) + 5};
    if (setrlimit(RLIMIT_CPU, &limit) != 0) _exit(126);
  }
  std::vector<char*> words = {const_cast<char*>(PROGRAM)};
  for (const std::string& argument : arguments) words.push_back(const_cast<char*>(argument.c_str()));
  words.push_back(nullptr);
  execv(PROGRAM, words.data());
  _exit(127);
}

}  // namespace

Outcome run_program(const std::vector<std::string>& arguments, const ProcessOptions& options) {
  const FreshDirectory kept;
  const std::string out = options.stdout_path.empty() ? kept / "out" : options.stdout_path, err = kept / "err";
  for (const std::string& file : {kept / "out", kept / "err"})
    write_text(file, "");  // a kill may come before it begins
  const pid_t child = fork();
  if (child < 0) throw std::runtime_error("cannot start a process");
  if (child == 0) become_program(arguments, options, out, err);
  if (options.signal != 0) {
    std::this_thread::sleep_for(std::chrono::milliseconds(options.signal_after_ms));
    kill(child, options.signal);
  }
  int status = 0;
  if (waitpid(child, &status, 0) != child) throw std::runtime_error("lost the process");
  Outcome outcome;
  outcome.exit_code = WIFEXITED(status) ? WEXITSTATUS(status) : 128 + WTERMSIG(status);
  if (options.stdout_path.empty()) outcome.out = read_text_file(out);
  outcome.err = read_text_file(err);
  return outcome;
}

}  // namespace polepitch
