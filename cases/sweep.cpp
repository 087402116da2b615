#include "cases/sweep.h"

#include <algorithm>
#include <atomic>
#include <chrono>
#include <condition_variable>
#include <exception>
#include <mutex>
#include <optional>
#include <string>
#include <thread>

namespace polepitch {
namespace {

struct Shared {
  std::atomic<size_t> next_chain{0};
  std::atomic<size_t> done{0};
  std::atomic<bool> stop{false};
  int running = 0;  // guarded by the mutex
  std::mutex mutex;
  std::condition_variable ended;

  void end_worker() {
    const std::lock_guard<std::mutex> lock(mutex);
    if (--running == 0) ended.notify_one();
  }

  /// True once no worker runs; waits a little for it, so that progress is drawn without taking time from the workers.
  bool all_ended() {
    std::unique_lock<std::mutex> lock(mutex);
    return ended.wait_for(lock, std::chrono::milliseconds(40), [&] { return running == 0; });
  }
};

}  // namespace

size_t chain_count(size_t points) {
  constexpr size_t kLongest = 20, kShortest = 3;
  if (points < 2 * kShortest) return 1;
  return 2 * ((points + 2 * kLongest - 1) / (2 * kLongest));
}

size_t chain_of(size_t index, size_t points) {
  return ((index + 1) * chain_count(points) - 1) / points;
}

size_t begin_of_chain(size_t index, size_t points) {
  return chain_of(index, points) * points / chain_count(points);
}

void run_in_chains(StudyContext& context, size_t points, int workers,
                   const std::function<void(int worker, size_t index, bool first)>& point, double from, double to) {
  if (points == 0) return;
  const size_t chains = chain_count(points);
  workers = static_cast<int>(std::min<size_t>(std::max(1, workers), chains));
  Shared shared;
  std::vector<std::exception_ptr> failures(chains);
  const auto work = [&](int worker) {
    for (size_t chain = shared.next_chain++; chain < chains && !shared.stop; chain = shared.next_chain++) try {
        const size_t begin = chain * points / chains, end = (chain + 1) * points / chains;
        for (size_t i = begin; i < end && !shared.stop; ++i, ++shared.done) point(worker, i, i == begin);
      } catch (...) {
        failures[chain] = std::current_exception();
        shared.stop = true;
      }
    shared.end_worker();
  };
  const auto report = [&] {
    context.progress(from + (to - from) * static_cast<double>(shared.done) / static_cast<double>(points));
  };
  std::vector<std::thread> threads;
  shared.running = workers;
  for (int worker = 0; worker < workers; ++worker) threads.emplace_back(work, worker);
  std::exception_ptr interrupted;
  while (!shared.all_ended()) {
    if (interrupted) continue;
    try {
      report();
    } catch (...) {
      interrupted = std::current_exception();
      shared.stop = true;
    }
  }
  for (std::thread& thread : threads) thread.join();
  if (interrupted) std::rethrow_exception(interrupted);
  for (const std::exception_ptr& failure : failures)
    if (failure) std::rethrow_exception(failure);
  report();
}

void sweep(StudyContext& context, const std::vector<Excitation>& points,
           const std::function<void(const SolvedPoint&)>& visit, double from, double to) {
  const std::string name = context.name + "/" + std::to_string(context.sweeps++);
  std::vector<StaticSolution> lasts(static_cast<size_t>(std::max(1, context.fields.workers())));
  const auto solve = [&](int worker, size_t i, bool first) {
    StaticField& field = context.fields.of(worker);
    StaticSolution& last = lasts[static_cast<size_t>(worker)];
    std::optional<StaticSolution> carried;
    if (context.forerun) carried = context.forerun->start(name, i, points[i]);
    last = field.solve(points[i], carried ? &*carried : first ? nullptr : &last);
    if (context.keeps) context.keeps->keep(name, i, points[i], last);
    visit({i, field, points[i], last});
  };
  run_in_chains(context, points.size(), context.fields.workers(), solve, from, to);
}

}  // namespace polepitch
