// A field that changes with time in a machine that turns: eddy currents in bars and solid parts, bars joined by end
// rings, phases and field winding in circuits, B–H curves at every stage (docs/theory.md, "Time stepping").
//
// Scheme: TR-BDF2 (R. E. Bank and others 1985; M. E. Hosea, L. F. Shampine 1996), implicit, order 2, L-stable; its
// embedded third-order weights give the step's error. After a start or a switching, where no rates are known, one step
// of the two-stage SDIRK method of R. Alexander (1977), whose stages have the same matrix. The rotor moves by velocity
// Verlet: angle from the acceleration at the step's start, speed from the mean of both ends'.
#pragma once

#include <Eigen/Dense>
#include <functional>
#include <memory>
#include <vector>

#include "solver/cage_field.h"
#include "solver/static_field.h"

namespace polepitch {

/// Loops of branches between two switchings. The loops' currents j make branch currents i = T j and obey
/// Tᵀ dλ/dt + R j + L dj/dt = v(t), λ the branches' linkages of the field.
struct Circuits {
  Eigen::MatrixXd turns;                                // T: branches × loops
  Eigen::MatrixXd resistance, inductance;               // ohm, H: loops × loops, symmetric
  std::function<Eigen::VectorXd(double)> voltage = {};  // V per loop; none: 0
  std::function<std::vector<double>(double)> fed = {};  // A per branch, of those that are fed with a current
  Eigen::MatrixXd lines = {};  // currents of the supply's lines by those of the loops: lines × loops; empty: no lines
};

/// What joins the sector's bars, in the order of the branches: one piece of a ring behind each bar, to the bar `next`
/// of it, which is the next sector's where `turned`; both ends have such rings. `joined` false: there is no piece.
struct BarRing {
  std::vector<RingSegment> pieces;
  std::vector<bool> joined;
  std::vector<int> next;  // with `turned` empty: each the following bar
  std::vector<bool> turned;
  std::vector<RingSegment> overhang;  // of each bar outside of the stack, both ends together; empty: none
};

/// Speed held, or found from the torques.
struct Motion {
  double inertia = 0;                               // kg m2; 0: the speed is held
  std::function<double(double, double)> load = {};  // N m against the motion of (time, speed)
};

struct TransientOptions {
  SolverOptions field;
  std::vector<double> conductivity;  // S/m per region, of solid parts beside the bars; empty: none
  double linkage_scale = 0;          // Wb: what the step's error of a loop is measured by; 0: the largest so far
};

/// A and what the circuits carry; or the rates of both.
struct TransientLevel {
  std::vector<double> a;     // Wb/m, one per unknown of the field
  Eigen::VectorXd circuits;  // A of each loop, V/m of each bar, A of each ring piece
};

/// Powers at an instant, whole machine [W].
struct TransientPowers {
  double source = 0;   // of voltages and fed currents
  double copper = 0;   // in the loops' resistances
  double eddy = 0;     // in bars and solid parts
  double ring = 0;     // in rings and overhang
  double field = 0;    // H dB/dt at the scheme's rates: into the field, and by it to the shaft
  double circuit = 0;  // into the circuits' own inductances
  double imbalance() const { return source - copper - eddy - ring - field - circuit; }
};

struct TransientState {
  double time = 0;
  double angle = 0, speed = 0, acceleration = 0;  // rad, rad/s, rad/s2 of the rotor
  double torque = 0;                              // N m, on the rotor, whole machine
  bool fresh = true;                              // rates, acceleration and powers are not known yet
  TransientLevel at, rate;
  TransientPowers power;
  double stored = 0;      // J, field and circuits
  double scale = 0;       // Wb, of the loops' linkages; largest so far
  double mass_scale = 0;  // of Aᵀ M A, largest so far
};

/// A step that was tried: whether to take it is the caller's decision.
struct TransientStep {
  TransientState state;
  double error = 0;              // of linkages and eddy fields, relative
  TransientPowers scheme;        // J, by the scheme's weights; its imbalance is the residual's
  TransientPowers energy;        // J, by the trapezoidal rule over both ends (of a first step the scheme's)
  double stored = 0, shaft = 0;  // J: change of what is stored; torque times speed by the trapezoidal rule
  int newton_steps = 0, factorisations = 0, iterations = 0;
  /// Source less losses, change of store and shaft [J]: falls with the step's square over a given time.
  double imbalance() const { return energy.source - energy.copper - energy.eddy - energy.ring - stored - shaft; }
};

class TransientField {
 public:
  /// Keeps references to section and mesh. Throws InputError for unknown materials, bars without conductivity and rings
  /// that do not fit the bars.
  TransientField(const Section& section, const Mesh& mesh, const Materials& materials, const BarRing& ring,
                 const TransientOptions& options = {});
  ~TransientField();
  TransientField(TransientField&&) noexcept;

  /// Holds from the next step on; keeps a reference. The state must then start() or switch_over() again.
  void connect(const Circuits& circuits);
  /// From nodal values of A and the loops' currents. Bars and rings start with their voltages and currents at 0, which
  /// the first step sets right.
  TransientState start(const std::vector<double>& a, const std::vector<double>& loops, double angle, double speed,
                       double time = 0) const;
  /// The state as other circuits find it.
  TransientState switch_over(const TransientState& state, const std::vector<double>& loops) const;

  /// One step of `h` [s]. Throws ConvergenceError.
  TransientStep step(const TransientState& state, const Motion& motion, double h);
  /// Forgets the factor: from equal states the steps are then equal bit for bit.
  void drop_factor();

  std::vector<double> branch_currents(const TransientState& state) const;  // A, bars' own currents included
  std::vector<double> linkages(const TransientState& state) const;         // Wb, one a branch
  std::vector<double> linkage_rates(const TransientState& state) const;    // V
  std::vector<double> eddy_losses(const TransientState& state) const;      // W of each region, whole machine
  StaticSolution field(const TransientState& state) const;
  /// The same from nodal values of A at a rotor angle.
  StaticSolution picture(const std::vector<double>& a, double angle) const;
  int unknowns() const;
  const LinearTimes& linear_times() const;

 private:
  struct Impl;
  std::unique_ptr<Impl> impl_;
};

}  // namespace polepitch
