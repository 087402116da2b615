// A synchronous machine in the steady state at rated speed: means over rotor positions at given currents, and the
// currents that meet given terminal conditions, found by Newton steps on the field with its own incremental
// inductances. Currents into the terminal, motoring positive; phasors peak, in the rotor's dq frame as d + jq; E lies
// on the q-axis, so that u = U e^{j(π/2 + δ)} with the load angle δ, positive motoring (theory.md, section "Load
// points").
#pragma once

#include <array>
#include <complex>
#include <functional>
#include <vector>

#include "cases/study.h"
#include "post/dq.h"
#include "post/reactances.h"

namespace polepitch {

using Phasor = std::complex<double>;

struct SteadyOptions {
  int positions = 6;         // equally spaced over one ripple period
  double omega = 0;          // rad/s, electrical
  double resistance = 0;     // ohm per phase
  double end_winding = 0;    // H per phase
  double voltage_scale = 0;  // V, peak, such as the rated phase voltage: what `tolerance` refers to
  double tolerance = 1e-6;   // of the terminal voltage
  double field_rest =
      1e-7;  // of a voltage: what fields are known to when solved; where no step comes nearer, 100 of it
  int most_iterations = 25;  // of the terminal conditions, for one point
  double rotor_angle = 0;    // rad, mechanical, of the first position
};

/// Rated speed and voltage, end winding, and the phase's direct-current resistance where the winding states its
/// conductor (0 otherwise, or when not `with_resistance`). Needs a [rating].
SteadyOptions steady_options(const StudyContext& context, int positions, bool with_resistance = true);

/// Means over the positions; one entry a position in the vectors.
struct SteadyPoint {
  Phasor current{};          // A, peak
  double field_current = 0;  // A
  Phasor linkage{};          // Wb, end winding included
  double field_linkage = 0;  // Wb, without end winding
  double torque = 0;         // N m, annulus harmonics
  Phasor voltage{};          // V, peak: R i + jω λ
  std::vector<double> torques{}, lambda_d{}, lambda_q{};
  int iterations = 0;    // of the terminal conditions; 0 at given currents
  int field_solves = 0;  // per position; 0: no point yet

  double load_angle() const;  // rad, −π … π; of a point with voltage
};

/// S = (m/2) u i* [W + j var], into the terminal; inductive reactive power positive.
Phasor complex_power(const SteadyPoint& point, int phases);

/// What is held at the terminal. Peak values, powers of the whole machine, into the terminal.
struct Terminal {
  enum class Given {
    powers,       // voltage, power, reactive → load angle and field current (needs a field winding)
    power,        // voltage, power, field_current → load angle and reactive power
    load_angle,   // voltage, load_angle, field_current → currents; voltage 0 is the sustained short circuit
    current_only  // current, phase_angle, field_current → voltage; ±π/2 is zero power factor
  } given = Given::load_angle;
  double voltage = 0;        // V
  double power = 0;          // W
  double reactive = 0;       // var
  double load_angle = 0;     // rad
  double current = 0;        // A
  double phase_angle = 0;    // rad, by which the voltage leads the current
  double field_current = 0;  // A; left out of account by `powers`, 0 on rotors without field winding
};

class SteadyState {
 public:
  /// Keeps a reference to the context. Throws InputError for machines that have no steady state here: without
  /// stator winding, or with a cage (whose currents a field at rest does not know).
  SteadyState(StudyContext& context, const SteadyOptions& options);

  /// One field solution a position, warm-started from the point before.
  SteadyPoint at(Phasor current, double field_current);

  /// Newton with step control from `start`, or from the voltage's no-load point. Throws ConvergenceError where no such
  /// point is found; the fields then are of the last trial that came nearer.
  SteadyPoint solve(const Terminal& terminal, const SteadyPoint* start = nullptr);

  /// Means of ∂λ/∂i at the last point [H].
  InductanceMatrix inductances();
  /// Means of the apparent inductances, the field frozen at the last point.
  FrozenInductances frozen();

  const SteadyOptions& options() const { return options_; }
  int phases() const { return phases_; }
  /// Field and sources of the last point at one position.
  /// (in the middle slice of a skewed machine).
  const StaticSolution& field(int position) const { return positions_[middle_of(position)].solved; }
  Excitation excitation(const SteadyPoint& point, int position) const;

 private:
  struct Position {     // one slice of a position
    double angle = 0;   // rad, mechanical, of the middle of the stack
    double offset = 0;  // of the slice from it
    StaticSolution solved, trial;
    std::vector<StaticSolution> responses;  // to 1 A of i_d, i_q, i_f, at `solved` or a point before it
    InductanceMatrix inductances;
  };
  size_t middle_of(int position) const { return static_cast<size_t>(position) * slices_ + slices_ / 2; }
  Excitation excitation(Phasor current, double field_current, const Position& position) const;
  void each_position(const std::function<void(StaticField&, Position&)>& work);
  StaticSolution predicted(const Position& position, Phasor current, double field_current) const;
  SteadyPoint evaluate(Phasor current, double field_current);
  void accept(const SteadyPoint& point);
  struct Iterate;
  Iterate at_unknowns(const Terminal& terminal, const std::array<double, 2>& unknowns);
  bool step_nearer(const Terminal& terminal, const InductanceMatrix& inductances, Iterate& at, int& solves);
  double rest() const;
  SteadyPoint newton(const Terminal& terminal, const std::array<double, 2>& unknowns);
  SteadyPoint no_load(const Terminal& terminal);

  StudyContext& context_;
  SteadyOptions options_;
  int phases_ = 0;
  bool wound_ = false;
  size_t slices_ = 1;
  std::vector<Position> positions_;  // slice by slice of each position
  SteadyPoint last_;
  bool fresh_ = false;  // the responses belong to `last_`
};

}  // namespace polepitch
