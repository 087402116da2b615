// Points in processes of their own: forked, watched through a pipe each, gone when this process goes.
#include <fmt/format.h>
#include <poll.h>
#include <signal.h>
#include <sys/prctl.h>
#include <sys/wait.h>
#include <unistd.h>

#include <cerrno>
#include <cstring>
#include <memory>
#include <nlohmann/json.hpp>

#include "cases/interrupt.h"
#include "cases/variation_point.h"

namespace polepitch {
namespace {

using nlohmann::json;

std::string packed(const PointRow& row) {
  return json{row.exit_code, row.reason, row.quantities, row.seconds}.dump(-1, ' ', false,
                                                                           json::error_handler_t::replace);
}

struct Worker {
  pid_t pid = 0;
  int pipe = -1;
  PointRow row;  // key and parameters until it is finished
  std::string text;
};

/// Ends what is still at work when it goes out of scope.
class Workers {
 public:
  ~Workers() {
    for (const Worker& worker : list) {
      ::kill(worker.pid, SIGKILL);
      ::waitpid(worker.pid, nullptr, 0);
      ::close(worker.pipe);
    }
  }
  std::vector<Worker> list;
};

[[noreturn]] void be_worker(int pipe, pid_t parent, const PointTask& task, const std::string& case_path,
                            const std::string& text) {
  ::prctl(PR_SET_PDEATHSIG, SIGKILL);
  if (::getppid() != parent) ::_exit(0);
  ::signal(SIGINT, SIG_IGN);  // of a terminal: the parent ends its workers
  const std::string answer = packed(solve_point(task, case_path, text));
  std::size_t sent = 0;
  while (sent < answer.size()) {
    const ssize_t n = ::write(pipe, answer.data() + sent, answer.size() - sent);
    if (n < 0 && errno != EINTR) break;
    if (n > 0) sent += static_cast<std::size_t>(n);
  }
  ::_exit(sent == answer.size() ? 0 : 1);  // neither buffers nor the store of the parent are touched
}

Worker start(const PointTask& task, const std::string& case_path, const std::string& text) {
  int ends[2];
  if (::pipe(ends) != 0)
    throw FileError(fmt::format("cannot start a worker: {}", std::strerror(errno)), "lower --jobs");
  const pid_t parent = ::getpid(), pid = ::fork();
  if (pid < 0) {
    ::close(ends[0]), ::close(ends[1]);
    throw FileError(fmt::format("cannot start a worker: {}", std::strerror(errno)), "lower --jobs");
  }
  if (pid == 0) {
    ::close(ends[0]);
    be_worker(ends[1], parent, task, case_path, text);
  }
  ::close(ends[1]);
  return {pid, ends[0], {task.key, 0, "", task.parameters, "{}", 0}, ""};
}

/// False where the process was killed before its point was finished.
bool finish(Worker& worker) {
  ::close(worker.pipe);
  int status = 0;
  ::waitpid(worker.pid, &status, 0);
  if (WIFEXITED(status) && WEXITSTATUS(status) == 0) {
    const json answer = json::parse(worker.text);
    worker.row.exit_code = answer[0];
    worker.row.reason = answer[1];
    worker.row.quantities = answer[2];
    worker.row.seconds = answer[3];
    return true;
  }
  const int signal = WIFSIGNALED(status) ? WTERMSIG(status) : 0;
  if (signal == SIGKILL || signal == SIGTERM) return false;
  worker.row.exit_code = static_cast<int>(ExitCode::internal);
  worker.row.reason = fmt::format("fault of the program: its process ended with {} {}", signal > 0 ? "signal" : "code",
                                  signal > 0 ? signal : WEXITSTATUS(status));
  return true;
}

/// Reads what there is; true once the worker has closed its end.
bool at_end(Worker& worker) {
  char block[65536];
  const ssize_t n = ::read(worker.pipe, block, sizeof block);
  if (n > 0) worker.text.append(block, static_cast<std::size_t>(n));
  return n == 0 || (n < 0 && errno != EINTR);
}

}  // namespace

std::size_t solve_in_processes(int jobs, const std::string& case_path, const std::string& text,
                               const std::function<std::unique_ptr<PointTask>()>& next,
                               const std::function<void(const PointRow&)>& done) {
  Workers workers;
  std::size_t killed = 0;
  for (bool more = true;;) {
    throw_if_interrupted();
    while (more && workers.list.size() < static_cast<std::size_t>(jobs)) {
      const std::unique_ptr<PointTask> task = next();
      more = task != nullptr;
      if (more) workers.list.push_back(start(*task, case_path, text));
    }
    if (workers.list.empty()) return killed;
    std::vector<pollfd> watched;
    for (const Worker& worker : workers.list) watched.push_back({worker.pipe, POLLIN, 0});
    if (::poll(watched.data(), watched.size(), 200) <= 0) continue;
    for (std::size_t i = watched.size(); i-- > 0;) {
      if (watched[i].revents == 0 || !at_end(workers.list[i])) continue;
      Worker worker = std::move(workers.list[i]);
      workers.list.erase(workers.list.begin() + static_cast<std::ptrdiff_t>(i));
      if (finish(worker))
        done(worker.row);
      else
        ++killed;
    }
  }
}

}  // namespace polepitch
