#include "cases/stepping.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "cases/checkpoint.h"
#include "cases/command_line.h"
#include "cases/stepping_tape.h"
#include "post/atomic_file.h"
#include "post/growing_csv.h"

namespace polepitch {
namespace {

// From one checkpoint to the next. There the factor is forgotten, so that a run that goes on from it has the same steps
// bit for bit; some 25 steps are a second or two of work.
constexpr int kSegment = 25;
constexpr double kFirst = 0.02;     // of the largest step, after a switching
constexpr double kSmallest = 1e-7;  // of the largest step: beyond, something is wrong
constexpr double kKeep = 1.3;       // a step that may grow by less stays: its factor serves on
constexpr double kZero = 1e-3;      // of a line's largest current: what a switch opens as zero
constexpr double kShortest = 1e-4;  // of the largest step: within it a zero is found
constexpr int kZeroTries = 30;
constexpr int kCalm = 4;  // steps taken since one was refused, before they grow: slots pass, and errors swing

}  // namespace

Stepping::Stepping(StudyContext& context, TransientField& field, ResultCurve log, Row row, SteppingRules rules)
    : context_(context), field_(field), row_(std::move(row)), rules_(std::move(rules)) {
  record_.log = std::move(log);
}

std::string Stepping::checkpoint_path() const {
  const std::string mesh = context_.keeps != nullptr ? ".coarser" : "";
  return checkpoint_folder(context_.directory) + "/" + context_.name + mesh;
}

SteppingRecord Stepping::run(const TransientState& start, const std::vector<Episode>& episodes, TransientState& state) {
  std::vector<double> numbers = start.at.a;
  for (const Point& p : context_.mesh.nodes) numbers.insert(numbers.end(), {p.x, p.y});
  fingerprint_ =
      fingerprint_of(std::string("polepitch ") + program_version() + context_.name + context_.kase.text, numbers);
  state_ = start;
  if (!context_.directory.empty()) make_directory(checkpoint_folder(context_.directory));
  if (!restore()) log_state();
  // The coarser mesh's run is a means to an end: its curve is not shown.
  if (!context_.directory.empty() && context_.keeps == nullptr)
    file_ = std::make_unique<GrowingCsv>(record_.log, context_.directory);
  rows_.clear();
  if (!finished_) advance(episodes);
  state = state_;
  return std::move(record_);
}

void Stepping::advance(const std::vector<Episode>& episodes) {
  const double whole = episodes.back().end;
  while (episode_ < episodes.size() && !record_.stopped) {
    const Episode& episode = episodes[episode_];
    if (!connected_) connect(episode);
    const double left = episode.end - state_.time;
    if (left <= 1e-9 * whole) {
      ++episode_;
      connected_ = false;
      next_step_ = 0;
      calm_ = kCalm;
      state_.fresh = true;
      if (episode_ == episodes.size() || !episodes[episode_].opening) closed_.clear();
      line_current_ = 0;
      continue;
    }
    // The last steps share what is left, so that none is tiny.
    double h = next_step_;
    if (left < 1.0001 * h)
      h = left;
    else if (left < 2 * h && !rules_.equal)
      h = 0.5 * left;
    TransientStep step = field_.step(state_, episode.motion, h);
    if (!propose(step, h)) continue;
    const int zero = episode.opening ? zero_in(episode, step, h) : -1;
    take(std::move(step));
    if (zero >= 0) open(episode, zero);
    if (record_.steps % kSegment == 0) save(false);
    context_.progress(state_.time / whole);
  }
  finished_ = true;
  save(true);
}

/// Hands the episode's circuits to the field, and the state to them where they are new to it.
void Stepping::connect(const Episode& episode) {
  std::vector<double> currents;
  if (!restored_) currents = field_.branch_currents(state_);
  if (episode.opening && closed_.empty()) closed_.assign(static_cast<std::size_t>(episode.circuits.lines.rows()), true);
  if (episode.opening) opened_ = episode.opening(closed_);
  const Circuits& now = episode.opening ? opened_ : episode.circuits;
  field_.connect(now);
  if (!restored_ && state_.fresh) state_ = field_.switch_over(state_, loop_currents(now, currents));
  if (next_step_ == 0) next_step_ = rules_.equal ? rules_.largest_step : kFirst * rules_.largest_step;
  connected_ = true;
  restored_ = false;
}

/// The closed line whose current passes through zero in this step, −1 where none does. The step is then shortened until
/// it ends at the zero (regula falsi), or before it, where the rest of it is another step's.
int Stepping::zero_in(const Episode& episode, TransientStep& step, double h) {
  const auto lines = [&](const TransientState& s) -> Eigen::VectorXd {
    return opened_.lines * s.at.circuits.head(opened_.lines.cols());
  };
  const Eigen::VectorXd before = lines(state_);
  for (int tries = 0;; ++tries) {
    const Eigen::VectorXd after = lines(step.state);
    line_current_ = std::max({line_current_, before.lpNorm<Eigen::Infinity>(), after.lpNorm<Eigen::Infinity>()});
    int line = -1;
    double share = 1;  // of the step, to the first zero by a straight line
    for (Eigen::Index k = 0; k < before.size(); ++k)
      if (closed_[static_cast<std::size_t>(k)] && before[k] * after[k] <= 0 && before[k] != after[k]) {
        const double at = before[k] / (before[k] - after[k]);
        if (line < 0 || at < share) line = static_cast<int>(k), share = at;
      }
    if (line < 0) return -1;
    if (std::abs(after[line]) <= kZero * line_current_ || h <= kShortest * rules_.largest_step) return line;
    if (tries == kZeroTries)
      throw ConvergenceError(fmt::format("no zero of a line's current was found near {:.6g} s", state_.time),
                             "a larger step_tolerance may be met");
    h *= std::max(share * (1 + kZero), 0.02);
    step = field_.step(state_, episode.motion, h);
  }
}

void Stepping::open(const Episode& episode, int line) {
  const std::vector<double> currents = field_.branch_currents(state_);
  closed_[static_cast<std::size_t>(line)] = false;
  opened_ = episode.opening(closed_);
  field_.connect(opened_);
  state_ = field_.switch_over(state_, loop_currents(opened_, currents));
  // What is left without a loop carries nothing.
  for (std::size_t k = 0; k < closed_.size(); ++k)
    if (opened_.lines.row(static_cast<Eigen::Index>(k)).isZero()) closed_[k] = false;
  next_step_ = rules_.equal ? rules_.largest_step : kFirst * rules_.largest_step;
  calm_ = kCalm;
}

/// Sets the next step; false where this one is to be tried again, shorter.
bool Stepping::propose(const TransientStep& step, double h) {
  if (rules_.equal) return true;
  const double share = std::max(step.error / rules_.tolerance, 1e-9);
  if (share > 1) {
    ++record_.refused;
    calm_ = 0;
    next_step_ = h * std::clamp(0.7 * std::cbrt(1 / share), 0.2, 0.8);
    if (next_step_ < kSmallest * rules_.largest_step)
      throw ConvergenceError(fmt::format("no step from {:.6g} s on is small enough for its error", state_.time),
                             "a larger step_tolerance may be met");
    return false;
  }
  ++calm_;
  const double factor = std::clamp(0.8 * std::cbrt(1 / share), 1.0, 2.0);
  if (factor > kKeep && calm_ > kCalm) next_step_ = std::min(h * factor, rules_.largest_step);
  return true;
}

void Stepping::take(TransientStep step) {
  if (state_.time >= rules_.count_from * (1 - 1e-9)) add(step);
  record_.newton_steps += step.newton_steps;
  record_.factorisations += step.factorisations;
  record_.iterations += step.iterations;
  ++record_.steps;
  state_ = std::move(step.state);
  log_state();
  keep_frames();
  if (rules_.stop && rules_.stop(state_)) record_.stopped = true;
}

void Stepping::add(const TransientStep& step) {
  SteppingTotals& t = record_.totals;
  t.source += step.energy.source;
  t.copper += step.energy.copper;
  t.eddy += step.energy.eddy;
  t.ring += step.energy.ring;
  t.stored += step.stored;
  t.shaft += step.shaft;
}

void Stepping::log_state() {
  const std::vector<double> row = row_(field_, state_);
  for (std::size_t c = 0; c < row.size(); ++c) record_.log.columns[c].values.push_back(row[c]);
  rows_.push_back(row);
}

void Stepping::keep_frames() {
  while (record_.frames.size() < rules_.frames.size() && state_.time >= rules_.frames[record_.frames.size()])
    record_.frames.push_back(
        {state_.time, state_.angle, state_.torque, field_.field(state_).a, field_.branch_currents(state_)});
}

void Stepping::save(bool finished) {
  field_.drop_factor();
  if (file_ && !rows_.empty()) file_->append(rows_);
  rows_.clear();
  if (context_.directory.empty()) return;
  Tape tape;
  tape.put(finished ? 1 : 0);
  tape.put(static_cast<double>(episode_));
  tape.put(next_step_);
  tape.put(calm_);
  tape.put(line_current_);
  tape.put(std::vector<double>(closed_.begin(), closed_.end()));
  put(tape, state_);
  put(tape, record_);
  write_checkpoint(checkpoint_path(), fingerprint_, tape);
}

bool Stepping::restore() {
  if (context_.directory.empty()) return false;
  std::optional<Tape> tape = read_checkpoint(checkpoint_path(), fingerprint_);
  if (!tape) return false;
  finished_ = tape->get() != 0;
  episode_ = static_cast<std::size_t>(tape->get());
  next_step_ = tape->get();
  calm_ = static_cast<int>(tape->get());
  line_current_ = tape->get();
  closed_.clear();
  for (double closed : tape->get_list()) closed_.push_back(closed != 0);
  restored_ = true;
  get(*tape, state_);
  get(*tape, record_);
  return true;
}

}  // namespace polepitch
