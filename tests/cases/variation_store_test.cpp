// The store of a sweep, opened by many at once.
#include "cases/variation_store.h"

#include <gtest/gtest.h>

#include <atomic>
#include <thread>
#include <vector>

#include "geometry/error.h"
#include "tests/cases/case_text_helper.h"

namespace polepitch {
namespace {

/// Connections lock the file against one another as processes do. Each round makes a store anew, since the first
/// moments are where tables and log are made.
TEST(VariationStoreTest, ManyOpenAndMakeItTogether) {
  constexpr int kRounds = 25, kTogether = 6;
  const FreshDirectory directory;
  for (int round = 0; round < kRounds; ++round) {
    const std::string path = directory / ("store" + std::to_string(round) + ".sqlite");
    std::atomic<int> waiting = kTogether, claimed = 0;
    std::vector<std::string> faults(kTogether);
    std::vector<std::thread> threads;
    for (int k = 0; k < kTogether; ++k)
      threads.emplace_back([&, k] {
        for (--waiting; waiting > 0;) std::this_thread::yield();
        try {
          VariationStore store(path);
          store.remember({"plan", "case", {"a"}, {"mass"}});
          store.put({"point " + std::to_string(k), 0, "", "{}", "{}", 1.0});
          claimed += store.find("point " + std::to_string(k)).has_value() ? 1 : 0;
        } catch (const FileError& error) {
          faults[static_cast<size_t>(k)] = error.what();
        }
      });
    for (std::thread& thread : threads) thread.join();
    for (const std::string& fault : faults) EXPECT_EQ(fault, "") << "round " << round;
    EXPECT_EQ(claimed, kTogether);
  }
}

}  // namespace
}  // namespace polepitch
