// libFuzzer target: whatever the bytes, a drawing is read or refused with an InputError; no crash, hang or leak.
// Build and run with clang 14 (packages clang and libclang-rt-14-dev):
//   clang++ -std=c++20 -O1 -g -fsanitize=fuzzer,address,undefined -fno-sanitize-recover=undefined -I. \
//     tests/fuzz/dxf_fuzz.cpp geometry/dxf_{groups,reader,entities,curves}.cpp geometry/{smooth_curve,sketch}.cpp \
//     geometry/{network,faces,curves,error}.cpp -lfmt -o build/dxf_fuzz
//   build/dxf_fuzz -runs=1000000 -max_len=4096 -timeout=10 build/fuzz-corpus tests/geometry/drawings
#include <cmath>
#include <cstdint>
#include <cstdlib>
#include <string>

#include "geometry/dxf_reader.h"

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  using namespace polepitch;
  try {
    const std::string text(reinterpret_cast<const char*>(data), size);
    const DxfDrawing drawing = parse_dxf(text, "fuzz.dxf", {1e-3, 1e-6});
    for (const SketchCurve& curve : drawing.sketch.curves)
      if (!std::isfinite(curve.start.x + curve.start.y + curve.end.x + curve.end.y)) std::abort();
  } catch (const InputError&) {
    // Refused in words: what is expected of most bytes.
  }
  return 0;
}
