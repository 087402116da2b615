// Four elements side by side: the numbers that the element loops compute with.
#pragma once

namespace polepitch {

inline constexpr int kLanes = 4;
using Lanes = double __attribute__((vector_size(8 * kLanes), aligned(8 * kLanes)));

}  // namespace polepitch

/// A function compiled for every x86-64 and for the later levels of its psABI; the loader takes the best that the
/// machine has. Elsewhere, and with other compilers, it is compiled once.
#if defined(__x86_64__) && defined(__GNUC__) && !defined(__clang__)
#define POLEPITCH_CLONES __attribute__((target_clones("default", "arch=x86-64-v3", "arch=x86-64-v4")))
#else
#define POLEPITCH_CLONES
#endif
#define POLEPITCH_INLINE [[gnu::always_inline]] inline
