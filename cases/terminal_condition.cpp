#include "cases/terminal_condition.h"

#include <fmt/format.h>

#include <cmath>

#include "solver/bh_curve.h"

namespace polepitch {
namespace {

using Given = Terminal::Given;

constexpr Phasor j{0, 1};

/// U e^{j(π/2 + δ)}: E's axis is q.
Phasor at_load_angle(double voltage, double delta) {
  return std::polar(voltage, pi / 2 + delta);
}

/// i = (2 S/(m u))*
Phasor current_of(Phasor power, Phasor voltage, int phases) {
  return std::conj(2.0 * power / (static_cast<double>(phases) * voltage));
}

TerminalTrial held_powers(const Terminal& t, double delta, Phasor power, int phases) {
  TerminalTrial trial;
  trial.voltage = at_load_angle(t.voltage, delta);
  trial.current = current_of(power, trial.voltage, phases);
  trial.d_voltage[0] = j * trial.voltage;
  trial.d_current[0] = j * trial.current;
  return trial;
}

}  // namespace

TerminalTrial terminal_trial(const Terminal& t, const std::array<double, 2>& y, int phases) {
  TerminalTrial trial;
  switch (t.given) {
    case Given::powers:
      trial = held_powers(t, y[0], {t.power, t.reactive}, phases);
      trial.field_current = y[1];
      trial.d_field_current[1] = 1;
      return trial;
    case Given::power:
      trial = held_powers(t, y[0], {t.power, y[1]}, phases);
      trial.d_current[1] = current_of(j, trial.voltage, phases);
      break;
    case Given::load_angle:
      trial.voltage = at_load_angle(t.voltage, t.load_angle);
      trial.current = {y[0], y[1]};
      trial.d_current = {Phasor{1}, j};
      break;
    case Given::current_only:
      trial.voltage = at_load_angle(y[1], y[0]);
      trial.current = at_load_angle(t.current, y[0] - t.phase_angle);
      trial.d_voltage = {j * trial.voltage, at_load_angle(1, y[0])};
      trial.d_current[0] = j * trial.current;
      break;
  }
  trial.field_current = t.field_current;
  return trial;
}

std::array<double, 2> unknowns_at(const Terminal& t, const SteadyPoint& point, int phases) {
  switch (t.given) {
    case Given::powers:
      return {point.load_angle(), point.field_current};
    case Given::power:
      return {point.load_angle(), complex_power(point, phases).imag()};
    case Given::current_only:
      return {point.load_angle(), std::abs(point.voltage)};
    case Given::load_angle:
      break;
  }
  return {point.current.real(), point.current.imag()};
}

double step_limit(const Terminal& t, const std::array<double, 2>& step) {
  constexpr double largest = 0.5;  // rad
  return t.given == Given::load_angle || std::abs(step[0]) <= largest ? 1 : largest / std::abs(step[0]);
}

std::string describe(const Terminal& t) {
  const double rms = 1 / std::sqrt(2.0);
  switch (t.given) {
    case Given::powers:
      return fmt::format("{:.5g} V a phase, {:.5g} kW and {:.5g} kvar into the terminal", rms * t.voltage,
                         1e-3 * t.power, 1e-3 * t.reactive);
    case Given::power:
      return fmt::format("{:.5g} V a phase and {:.5g} kW into the terminal at {:.5g} A of field current",
                         rms * t.voltage, 1e-3 * t.power, t.field_current);
    case Given::load_angle:
      return fmt::format("{:.5g} V a phase at the load angle {:.4g} deg and {:.5g} A of field current", rms * t.voltage,
                         t.load_angle * 180 / pi, t.field_current);
    case Given::current_only:
      break;
  }
  return fmt::format("{:.5g} A a phase, {:.4g} deg behind the voltage, at {:.5g} A of field current", rms * t.current,
                     t.phase_angle * 180 / pi, t.field_current);
}

}  // namespace polepitch
