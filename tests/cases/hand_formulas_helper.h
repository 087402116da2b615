// What an engineer works out on paper before he trusts a field solution. SI. Sources: "memory" formulas are quoted from
// Pyrhönen, Jokinen, Hrabovcová, Design of Rotating Electrical Machines, not re-read.
#pragma once

#include <cmath>
#include <numbers>

namespace polepitch::hand {

inline constexpr double kPi = std::numbers::pi, mu_0 = 4e-7 * kPi;

/// Carter's factor of slots of opening b and pitch tau against a gap delta (published: Carter's solution).
inline double carter(double tau, double b, double delta) {
  const double x = b / (2 * delta), gamma = 4 / kPi * (x * std::atan(x) - std::log(std::sqrt(1 + x * x)));
  return tau / (tau - gamma * delta);
}

/// Distribution factor of q slots a pole and phase, three phases (formula: geometric sum of phasors).
inline double distribution_factor(int q) {
  return std::sin(kPi / 6) / (q * std::sin(kPi / 6 / q));
}

/// Pitch factor of a coil over `span` of a pole pitch (formula).
inline double pitch_factor(double span) {
  return std::sin(span * kPi / 2);
}

/// Peak linkage of N turns in series in a sinusoidal gap field of amplitude b at radius r (formula: N k_w 2 b r L/p).
inline double linkage(double b, double r, double length, int p, double turns_kw) {
  return turns_kw * 2 * b * r * length / p;
}

/// Magnetising inductance 2 m mu_0 L r (k_w N)²/(pi p² delta_eff), thin gap, permeable iron (memory).
inline double magnetising_inductance(double length, double r, double turns_kw, int p, double delta_eff) {
  return 6 * mu_0 * length * r * turns_kw * turns_kw / (kPi * p * p * delta_eff);
}

/// Mid-gap B_r of order p of radially magnetised surface magnets between smooth permeable iron: rotor core r_r, magnets
/// to r_m over `arc` of the pole pitch, bore r_s, p > 1 (published: Zhu, Howe, Bolte, Ackermann, IEEE Trans. Magn.
/// 29(1), 1993).
inline double surface_magnet_field(int p, double r_r, double r_m, double r_s, double arc, double b_rem, double mu_r) {
  const double r = (r_m + r_s) / 2, wave = 4 * b_rem / kPi * std::sin(arc * kPi / 2);
  const double source = p - 1 + 2 * std::pow(r_r / r_m, p + 1) - (p + 1) * std::pow(r_r / r_m, 2 * p);
  const double iron = (mu_r + 1) / mu_r * (1 - std::pow(r_r / r_s, 2 * p)) -
                      (mu_r - 1) / mu_r * (std::pow(r_m / r_s, 2 * p) - std::pow(r_r / r_m, 2 * p));
  const double reach = std::pow(r / r_s, p - 1) * std::pow(r_m / r_s, p + 1) + std::pow(r_m / r, p + 1);
  return wave / mu_r * p / (p * p - 1.0) * source / iron * reach;
}

/// A ring magnetised along a diameter (p = 1) between permeable iron of radii inner and bore, by matching the scalar
/// potentials a(r − inner²/r) cos θ in the ring and c(r − bore²/r) cos θ outside it (formula).
struct RingField {
  double c = 0, bore = 0;
  double radial(double r) const { return -mu_0 * c * (1 + bore * bore / (r * r)); }  // B_r amplitude
  double potential(double r) const { return r * radial(r); }                         // A amplitude
};

inline RingField ring_field(double inner, double outer, double bore, double b_rem, double mu_r) {
  const double share = (outer - inner * inner / outer) / (outer - bore * bore / outer);
  const double a =
      b_rem / mu_0 / (mu_r * (1 + inner * inner / (outer * outer)) - share * (1 + bore * bore / (outer * outer)));
  return {share * a, bore};
}

/// The gap line of a salient pole: amplitude of B_r of order p at pole MMF f, flux crossing the slotted gap straight
/// along the radius, none beside the shoe, iron without MMF (common practice: magnetic circuit).
struct TaperedPole {
  int p = 2;
  double bore = 0, gap = 0, face = 0, half_shoe = 0, slot_pitch = 0, opening = 0;  // m
};

inline double no_load_field(const TaperedPole& pole, double f) {
  const double rotor = pole.bore - pole.gap, offset = rotor - pole.face, end = std::asin(pole.half_shoe / rotor);
  const int steps = 400;
  double sum = 0;
  for (int i = 0; i < steps; ++i) {
    const double angle = (i + 0.5) / steps * end;
    const double surface =
        offset * std::cos(angle) + std::sqrt(std::pow(pole.face, 2) - std::pow(offset * std::sin(angle), 2));
    const double delta = pole.bore - surface;
    sum += mu_0 * f / (carter(pole.slot_pitch, pole.opening, delta) * delta) * std::cos(pole.p * angle) * end / steps;
  }
  return 4 * pole.p / kPi * sum;
}

/// Permeance factor of a full semi-closed slot: body h/3b, flare, opening (memory).
inline double slot_permeance(double body, double b_top, double b_bottom, double flare, double opening_height,
                             double opening) {
  return body / (3 * (b_top + b_bottom) / 2) + flare * std::log(b_top / opening) / (b_top - opening) +
         opening_height / opening;
}

}  // namespace polepitch::hand
