// Entries of conductors, rings, windings and gap waves in the equations of a slipping machine (solver/cage_system.h).
#include <algorithm>
#include <cmath>

#include "solver/cage_system.h"

namespace polepitch {
namespace {

constexpr std::complex<double> j{0, 1};

}  // namespace

/// J = σ(v − jω_r A) in bars, v their voltage a metre, and their currents; J = −jω_r σ A in solid parts.
void CageSystem::add_bars(const CageExcitation& e, std::vector<CircuitEntry>& out) const {
  const double rotor = e.slip * e.omega;
  for (int s = 0; s < slices(); ++s) {
    const int from = s * per_slice;
    const auto add_mass = [&](const BarIntegrals& c) {
      for (const auto& [at, value] : c.mass)
        out.push_back({from + at.first, from + at.second, j * (rotor * c.conductivity * value)});
    };
    for (const BarIntegrals& solid : circuits.solids) add_mass(solid);
    for (int k = 0; k < bars(); ++k) {
      const BarIntegrals& bar = circuits.bars[static_cast<size_t>(k)];
      const int v = voltage(s, k);
      add_mass(bar);
      for (const auto& [u, value] : bar.shape) {
        out.push_back({from + u, v, -bar.conductivity * value});
        out.push_back({v, from + u, -j * (rotor * bar.conductivity * value)});
      }
      out.push_back({v, v, bar.conductivity * bar.area});
      out.push_back({v, current0 + k, -1.0});
    }
  }
}

/// Currents at the nodes of the rings, equal voltages of bars in parallel, and a mesh for every pair of ring segments.
void CageSystem::add_rings(const CageExcitation& e, std::vector<CircuitEntry>& out) const {
  const double rotor = e.slip * e.omega, length = system.section.length;
  const int sign = system.section.sign;
  const auto add_voltage = [&](int row, int bar, double factor) {  // of a whole bar, overhang included
    for (int s = 0; s < slices(); ++s)
      out.push_back({row, voltage(s, bar), factor * length * cage.slices[static_cast<size_t>(s)].weight});
    const RingSegment& ends = circuits.overhang[static_cast<size_t>(bar)];
    out.push_back({row, current0 + bar, factor * (ends.resistance + j * (rotor * ends.inductance))});
  };
  int first = ring0;
  for (const RingNetwork& network : circuits.networks) {
    const int count = static_cast<int>(network.nodes.size());
    for (int q = 0; q < count; ++q) {
      const std::vector<int>& bars_here = network.nodes[static_cast<size_t>(q)];
      const int next = (q + 1) % count, before = (q + count - 1) % count, row = current0 + bars_here[0];
      for (int bar : bars_here) out.push_back({row, current0 + bar, 1.0});
      out.push_back({row, first + q, -1.0});
      out.push_back({row, first + before, q == 0 ? static_cast<double>(sign) : 1.0});
      for (size_t b = 1; b < bars_here.size(); ++b) {
        add_voltage(current0 + bars_here[b], bars_here[b], 1);
        add_voltage(current0 + bars_here[b], bars_here[0], -1);
      }
      if (sign > 0 && q + 1 == count) {  // the last mesh follows from the others: no current runs round the ring alone
        for (int k = 0; k < count; ++k) out.push_back({first + q, first + k, 1.0});
        continue;
      }
      add_voltage(first + q, network.nodes[static_cast<size_t>(next)][0], q + 1 == count ? sign : 1);
      add_voltage(first + q, bars_here[0], -1);
      out.push_back(
          {first + q, first + q, -2.0 * (network.segment.resistance + j * (rotor * network.segment.inductance))});
    }
    first += count;
  }
}

/// Balanced windings: the stator's at its supply, a wound rotor's closed over its resistance at slip frequency.
void CageSystem::add_windings(const CageExcitation& e, std::vector<CircuitEntry>& out) const {
  for (int side : {0, 1}) {
    if (side == 1 && !wound()) continue;
    const double omega = side == 0 ? e.omega : e.slip * e.omega;
    const bool closed = side == 0 ? e.voltage_fed : !e.rotor_open;
    const double resistance = side == 0 ? e.resistance : e.rotor_resistance;
    const double ends = side == 0 ? e.end_inductance : e.rotor_end_inductance;
    const int row = phase[side];
    for (int s = 0; s < slices(); ++s)
      for (const auto& [u, value] : circuits.winding[side].source) {
        out.push_back({s * per_slice + u, row, -value});
        const double part = share(side) * cage.slices[static_cast<size_t>(s)].weight;
        if (closed) out.push_back({row, s * per_slice + u, j * (omega * part) * std::conj(value)});
      }
    out.push_back({row, row, closed ? resistance + j * (omega * ends) : std::complex<double>{1}});
  }
}

/// The working wave on both circles; with the fundamental alone it is also what crosses the gap.
void CageSystem::add_waves(std::vector<CircuitEntry>& out) const {
  const Eigen::Index p = working();
  for (int s = 0; s < slices(); ++s)
    for (int side : {0, 1}) {
      const TraceFourier& t = trace(side);
      const int from = s * per_slice, wave = this->wave(s, side);
      const double own = smooth(side)[p] - system.annulus->self()[p];
      const Complex crossing =
          system.annulus->mutual()[p] *
          std::polar(1.0, (side == 0 ? 1 : -1) * system.section.pole_pairs * cage.slices[static_cast<size_t>(s)].angle);
      for (Eigen::Index k = 0; k < t.re.cols(); ++k) {
        const Complex shape{t.re(p, k), t.im(p, k)};
        out.push_back({wave, from + t.unknowns[k], -std::conj(shape)});
        if (all_harmonics()) continue;
        out.push_back({from + t.unknowns[k], wave, -0.5 * own * shape});
        out.push_back({from + t.unknowns[k], this->wave(s, 1 - side), -0.5 * crossing * shape});
      }
      out.push_back({wave, wave, 1.0});
    }
}

/// All orders across the gap at the rotor's angle: the real map of the static field.
void CageSystem::add_crossing(const CageExcitation& e, std::vector<CircuitEntry>& out) const {
  const TraceFourier &outer = trace(0), &inner = trace(1);
  for (int s = 0; s < slices(); ++s) {
    const GapTurn turn = system.annulus->turn(e.rotor_angle + cage.slices[static_cast<size_t>(s)].angle);
    const Eigen::MatrixXd block = outer.re.transpose() * (turn.cosine.asDiagonal() * inner.re) +
                                  outer.im.transpose() * (turn.cosine.asDiagonal() * inner.im) +
                                  outer.re.transpose() * (turn.sine.asDiagonal() * inner.im) -
                                  outer.im.transpose() * (turn.sine.asDiagonal() * inner.re);
    for (Eigen::Index a = 0; a < block.rows(); ++a)
      for (Eigen::Index b = 0; b < block.cols(); ++b) {
        const int row = s * per_slice + outer.unknowns[a], column = s * per_slice + inner.unknowns[b];
        out.push_back({row, column, -block(a, b)});
        out.push_back({column, row, -block(a, b)});
      }
  }
}

double CageSystem::torque(const CageExcitation& e, const std::vector<Complex>& x) const {
  const Annulus& annulus = *system.annulus;
  const Eigen::Index p = working();
  double sum = 0;
  for (int s = 0; s < slices(); ++s) {
    const SkewSlice& slice = cage.slices[static_cast<size_t>(s)];
    const double angle = slice.angle + (all_harmonics() ? e.rotor_angle : 0);
    // ½ Im over the waves of both senses; forward (re − j im) x turns with e^{jnθ}, backward (re + j im) x the other
    // way.
    const auto part = [&](Eigen::Index n, int sense) {
      Complex wave[2] = {0, 0};
      for (int side : {0, 1}) {
        const TraceFourier& t = trace(side);
        for (Eigen::Index k = 0; k < t.re.cols(); ++k)
          wave[side] += Complex{t.re(n, k), -sense * t.im(n, k)} * x[s * per_slice + t.unknowns[k]];
      }
      const int order = annulus.orders()[static_cast<size_t>(n)];
      return order * sense *
             std::imag(std::conj(wave[0]) * annulus.mutual()[n] * std::polar(1.0, sense * order * angle) * wave[1]);
    };
    double torque = 0;
    if (all_harmonics())
      for (Eigen::Index n = 0; n < annulus.mutual().size(); ++n) torque += part(n, 1) + part(n, -1);
    else
      torque = part(p, 1);
    sum -= 0.25 * slice.weight * system.section.sectors * system.section.length * torque;
  }
  return sum;
}

}  // namespace polepitch
