// BLAS on one thread, as the program runs it: sweeps use the cores.
#include <gtest/gtest.h>

#include "solver/sparse_cholesky.h"

namespace polepitch {
namespace {

struct OneThread : ::testing::Environment {
  void SetUp() override { pin_blas_to_one_thread(); }
};
const auto* const kEnvironment = ::testing::AddGlobalTestEnvironment(new OneThread);

}  // namespace
}  // namespace polepitch
