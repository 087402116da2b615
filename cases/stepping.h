// A study's way through time: episodes between switchings, steps by their error or of one length, a log that grows in a
// CSV file by whole rows, and a checkpoint from which a stopped run goes on bit for bit.
#pragma once

#include <functional>
#include <memory>
#include <string>
#include <vector>

#include "cases/study.h"
#include "post/growing_csv.h"
#include "solver/circuits.h"
#include "solver/transient_field.h"

namespace polepitch {

/// Between two switchings. With `opening` a switch parts the lines from the episode's start on, each at the next zero
/// of its current: it gives the circuits of what is still closed.
struct Episode {
  Circuits circuits;
  Motion motion;
  double end = 0;  // s
  std::function<Circuits(const std::vector<bool>& closed)> opening = {};
};

struct SteppingRules {
  double largest_step = 0;                               // s
  bool equal = false;                                    // every step is the largest
  double tolerance = 1e-4;                               // of a step's error
  double count_from = 0;                                 // s: where the totals of energy begin
  std::vector<double> frames = {};                       // s: the first state at or after each is kept
  std::function<bool(const TransientState&)> stop = {};  // ends the run early where it says so
};

/// Energies since the start [J].
struct SteppingTotals {
  double source = 0, copper = 0, eddy = 0, ring = 0, stored = 0, shaft = 0;
  double imbalance() const { return source - copper - eddy - ring - stored - shaft; }
};

struct SteppingFrame {
  double time = 0, angle = 0, torque = 0;
  std::vector<double> a;         // per node
  std::vector<double> currents;  // per branch
};

/// What the steps left behind.
struct SteppingRecord {
  ResultCurve log;  // one row a step, the start included
  std::vector<SteppingFrame> frames;
  SteppingTotals totals;
  int steps = 0, refused = 0, newton_steps = 0, factorisations = 0, iterations = 0;
  bool stopped = false;  // by the rules' `stop`
};

class Stepping {
 public:
  using Row = std::function<std::vector<double>(const TransientField&, const TransientState&)>;
  /// `log`: study, name, title and columns without values; `row` gives one value a column, the first the time [s].
  Stepping(StudyContext& context, TransientField& field, ResultCurve log, Row row, SteppingRules rules);

  /// From `start` through the episodes, in ascending order of their ends; each loop's current at a switching is the
  /// branches' at that moment. Goes on from a checkpoint of the same run. `state` is left at the end. Throws
  /// ConvergenceError, FileError, and what context.progress throws.
  SteppingRecord run(const TransientState& start, const std::vector<Episode>& episodes, TransientState& state);

 private:
  void advance(const std::vector<Episode>& episodes);
  void connect(const Episode& episode);
  int zero_in(const Episode& episode, TransientStep& step, double h);
  void open(const Episode& episode, int line);
  void take(TransientStep step);
  void add(const TransientStep& step);
  bool propose(const TransientStep& step, double h);
  void log_state();
  void keep_frames();
  void flush();
  void save(bool finished);
  bool restore();
  std::string checkpoint_path() const;

  StudyContext& context_;
  TransientField& field_;
  Row row_;
  SteppingRules rules_;
  SteppingRecord record_;
  TransientState state_;
  std::size_t episode_ = 0;
  double next_step_ = 0;      // s
  int calm_ = 100;            // steps taken since one was refused
  std::vector<bool> closed_;  // lines, in an episode that opens them
  Circuits opened_;           // of those
  double line_current_ = 0;   // A, the largest of a line so far in the episode
  bool restored_ = false;     // the state has the episode's circuits
  bool connected_ = false;    // the field has the episode's circuits
  bool finished_ = false;
  std::string fingerprint_;
  std::vector<std::vector<double>> rows_;  // not written yet
  std::unique_ptr<GrowingCsv> file_;
};

}  // namespace polepitch
