#include "tests/physics/layered_eddy_helper.h"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace polepitch::test {
namespace {

using Complex = std::complex<double>;
constexpr double pi = std::numbers::pi, mu0 = 4e-7 * pi;

/// A and H = A'/μ of one order at one radius.
struct State {
  Complex a, h;
};

/// Bessel's equation in a ring by the classical Runge-Kutta method in x = ln r, where it has no singular coefficient:
/// d²A/dx² = (n² + j ω μ σ r²) A. Adds ∫|A|² r dr by Simpson's rule.
State through_ring(State s, int n, double from, double to, double mu, double omega_sigma, double& square) {
  constexpr int steps = 4000;
  const double h = std::log(to / from) / steps;
  const auto slope = [&](double x, Complex a) {
    const double r = std::exp(x);
    return (double(n) * n + Complex{0, omega_sigma * mu * r * r}) * a;
  };
  double x = std::log(from);
  Complex a = s.a, b = s.h * mu * from;  // b = dA/dx
  const auto weight = [&](double at, Complex value) { return std::norm(value) * std::exp(2 * at); };
  for (int k = 0; k < steps; ++k) {
    const double before = weight(x, a);
    const Complex a1 = b, b1 = slope(x, a);
    const Complex a2 = b + 0.5 * h * b1, b2 = slope(x + 0.5 * h, a + 0.5 * h * a1);
    const Complex a3 = b + 0.5 * h * b2, b3 = slope(x + 0.5 * h, a + 0.5 * h * a2);
    const Complex a4 = b + h * b3, b4 = slope(x + h, a + h * a3);
    const Complex next = a + h / 6 * (a1 + 2.0 * a2 + 2.0 * a3 + a4);
    const Complex next_b = b + h / 6 * (b1 + 2.0 * b2 + 2.0 * b3 + b4);
    const Complex middle = 0.5 * (a + next) + h / 8 * (b - next_b);  // Hermite's cubic
    square += h / 6 * (before + 4 * weight(x + 0.5 * h, middle) + weight(x + h, next));
    a = next, b = next_b, x += h;
  }
  return {a, b / (mu * to)};
}

/// Powers of r; with a current density J of this order in it.
State through_shell(State s, int n, double from, double to, double mu, Complex j) {
  const auto particular = [&](double r) { return -mu * j * r * r / (4.0 - double(n) * n); };
  const Complex a = s.a - particular(from), slope = (s.h * mu - 2.0 * particular(from) / from) * from / double(n);
  const double q = std::pow(to / from, n);
  const Complex grow = 0.5 * (a + slope) * q, fall = 0.5 * (a - slope) / q;
  return {grow + fall + particular(to), (double(n) * (grow - fall) / to + 2.0 * particular(to) / to) / mu};
}

struct Order {
  int n;  // magnitude
  double sense, omega_rotor;
  Complex j;
};

/// Field of one order: unknown amplitude of the rotor's solution from the condition H = −n A/(μ0 r) at the outside.
void add_order(const LayeredMachine& m, const Order& o, LayeredResult& result) {
  const int n = o.n;
  State s{1, 0};
  std::vector<double> square(m.rotor.size());
  // The regular solution starts as r^n, so near the axis that r^n does not grow past 1e30 on the way.
  const double r = m.rotor.front().outer * std::pow(10, -std::min(3.0, 30.0 / n));
  s.h = n / r / (mu0 * m.rotor.front().mu_r);
  const double begin = r;
  for (size_t k = 0; k < m.rotor.size(); ++k) {
    const Ring& ring = m.rotor[k];
    s = through_ring(s, n, k == 0 ? begin : m.rotor[k - 1].outer, ring.outer, mu0 * ring.mu_r,
                     o.omega_rotor * ring.conductivity, square[k]);
    if (k == 0) {  // keep the numbers of high orders small
      const double scale = 1 / std::abs(s.a);
      s.a *= scale, s.h *= scale, square[k] *= scale * scale;
    }
  }
  const double surface = m.rotor.back().outer;
  const auto outside = [&](Complex amplitude, Complex j) {
    State t{amplitude * s.a, amplitude * s.h};
    t = through_shell(t, n, surface, m.shell_inner, mu0, 0);
    t = through_shell(t, n, m.shell_inner, m.shell_outer, mu0, j);
    t = through_shell(t, n, m.shell_outer, m.steel_outer, mu0 * m.steel_mu_r, 0);
    return t.h + double(n) * t.a / (mu0 * m.steel_outer);
  };
  const Complex amplitude = -outside(0, o.j) / outside(1, 0);
  const State at{amplitude * s.a, amplitude * s.h};
  result.torque -= pi * surface * n * o.sense * std::imag(at.a * std::conj(at.h));
  for (size_t k = 0; k < m.rotor.size(); ++k)
    result.loss[k] += pi * m.rotor[k].conductivity * std::pow(o.omega_rotor, 2) * std::norm(amplitude) * square[k];
  // Mean over the zones: over r by Simpson's rule, over the angle in closed form.
  Complex sum = 0;
  State in = through_shell(at, n, surface, m.shell_inner, mu0, 0);
  constexpr int steps = 400;
  const double step = (m.shell_outer - m.shell_inner) / steps;
  for (int k = 0; k <= steps; ++k) {
    const double radius = m.shell_inner + k * step;
    const Complex a = k == 0 ? in.a : through_shell(in, n, m.shell_inner, radius, mu0, o.j).a;
    sum += (k == 0 || k == steps ? 1.0 : k % 2 ? 4.0 : 2.0) * step / 3 * a * radius;
  }
  const double area = 0.5 * (std::pow(m.shell_outer, 2) - std::pow(m.shell_inner, 2));
  const double width = 0.5 * n * m.zone_width;
  for (size_t z = 0; z < m.zones.size(); ++z)
    result.zone_potential[z] +=
        sum / area * std::sin(width) / width * std::polar(1.0, -o.sense * n * m.zones[z].centre);
}

}  // namespace

LayeredResult layered_field(const LayeredMachine& m, double omega, double speed, int largest) {
  LayeredResult result;
  result.loss.resize(m.rotor.size());
  result.zone_potential.resize(m.zones.size());
  for (int n = 1; n <= largest; n += 2)
    for (double sense : {1.0, -1.0}) {
      Complex j = 0;
      const double half = 0.5 * n * m.zone_width;
      for (const Zone& zone : m.zones)
        j += zone.current_density * m.zone_width / (2 * pi) * std::sin(half) / half *
             std::polar(1.0, sense * n * zone.centre);
      add_order(m, {n, sense, omega - sense * n * speed, j}, result);
    }
  return result;
}

}  // namespace polepitch::test
