#include <cmath>
#include <numeric>

#include "geometry/winding.h"

namespace polepitch {

namespace {

using Complex = std::complex<double>;
constexpr double two_pi = 6.28318530717958647692;

}  // namespace

double WindingLayout::slot_angle(int slot) const {
  return slot0_angle + two_pi * slot / slots;
}

double WindingLayout::turns_in_series() const {
  int sides_of_a = 0;
  for (const CoilSide& side : sides) sides_of_a += side.phase == 0 ? 1 : 0;
  return 0.5 * sides_of_a * turns_per_coil / parallel_paths;
}

double phase_axis(int phases, int phase) {
  return (phases % 2 == 1 ? two_pi : two_pi / 2) * phase / phases;
}

std::string phase_name(int phase) {
  return phase < 26 ? std::string(1, static_cast<char>('A' + phase)) : "phase " + std::to_string(phase + 1);
}

// F steps down by the ampere conductors of each side that is passed counter-clockwise (B_r = ∂A/∂θ / r, and A peaks at
// a current along +z), so that F_ν = (j/(π ν)) Σ ± N i e^{−jνθ}; a full-pitch coil defines the factor 1.
Complex winding_factor(const WindingLayout& layout, int nu, int phase) {
  Complex sum = 0;
  int sides = 0;
  for (const CoilSide& side : layout.sides) {
    if (side.phase != phase) continue;
    // The slot's angle is reduced in integers: ν reaches thousands, and exact cancellation must stay exact.
    const double turn = static_cast<double>(static_cast<long long>(nu) * side.slot % layout.slots) / layout.slots;
    sum += static_cast<double>(side.sign) * std::polar(1.0, two_pi * turn + nu * layout.slot0_angle);
    ++sides;
  }
  return sides == 0 ? Complex(0) : Complex(0, -1) * sum / static_cast<double>(sides);
}

std::vector<double> mmf_waveform(const WindingLayout& layout, const std::vector<double>& phase_currents,
                                 const std::vector<double>& angles) {
  std::vector<double> ampere(layout.slots, 0.0);  // ampere conductors of each slot
  const double turns = static_cast<double>(layout.turns_per_coil) / layout.parallel_paths;
  for (const CoilSide& side : layout.sides) ampere[side.slot] += side.sign * turns * phase_currents.at(side.phase);
  std::vector<double> mmf(angles.size(), 0.0);
  for (size_t i = 0; i < angles.size(); ++i)
    for (int slot = 0; slot < layout.slots; ++slot) {
      const double turn = (angles[i] - layout.slot_angle(slot)) / two_pi;
      const double passed = turn - std::floor(turn);  // share of a turn since the slot
      if (passed < 1e-12 || passed > 1 - 1e-12) continue;
      mmf[i] -= ampere[slot] * (0.5 - passed);  // zero-mean sawtooth; the ramps cancel, the steps stay
    }
  return mmf;
}

double differential_leakage(const WindingLayout& layout) {
  std::vector<Complex> step(layout.slots, 0.0);  // complex current of each slot, phase currents of peak 1
  for (const CoilSide& side : layout.sides)
    step[side.slot] += std::polar(static_cast<double>(side.sign), -phase_axis(layout.phases, side.phase));
  std::vector<Complex> mmf(layout.slots);  // between slot i and i + 1
  Complex running = 0, mean = 0, fundamental = 0;
  for (int i = 0; i < layout.slots; ++i) {
    running -= step[i];
    mmf[i] = running;
    mean += running / static_cast<double>(layout.slots);
    // Amplitude of the wave that turns forward at the working order, e^{j(ωt − pθ)}.
    const double turn = static_cast<double>(static_cast<long long>(layout.pole_pairs) * i % layout.slots);
    fundamental -=
        Complex(0, 1) * step[i] * std::polar(1.0, two_pi * turn / layout.slots) / (two_pi * layout.pole_pairs);
  }
  double square = 0;
  for (const Complex& f : mmf) square += std::norm(f - mean) / layout.slots;
  return square / std::norm(fundamental) - 1;
}

Repetition repetition(const WindingLayout& layout) {
  // Signed turns of every phase in every slot layer; 0 where it has none.
  std::vector<int> pattern(static_cast<size_t>(layout.slots) * layout.layers, 0);
  for (const CoilSide& side : layout.sides)
    pattern[static_cast<size_t>(side.slot) * layout.layers + side.layer] = side.sign * (side.phase + 1);
  const size_t size = pattern.size();
  for (int sectors = layout.slots; sectors > 1; --sectors) {
    if (layout.slots % sectors != 0) continue;
    const size_t shift = size / sectors;
    for (int sign : {-1, 1}) {
      bool same = true;
      for (size_t i = 0; i < size && same; ++i) same = pattern[(i + shift) % size] == sign * pattern[i];
      if (same) return {sectors, sign};
    }
  }
  return {1, 1};
}

}  // namespace polepitch
