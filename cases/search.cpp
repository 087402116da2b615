#include "cases/search.h"

#include <nlopt.h>

#include <algorithm>
#include <cmath>
#include <exception>
#include <limits>
#include <memory>
#include <stdexcept>

namespace polepitch {
namespace {

constexpr double kPenalty = 10;      // scaled objective per share that is missed, in the global part
constexpr double kImpossible = 1e6;  // scaled objective of a design that cannot be solved, there
constexpr double kFirstStep = 0.1;   // of the box
constexpr double kInfinite = std::numeric_limits<double>::infinity();

using Optimiser = std::unique_ptr<std::remove_pointer_t<nlopt_opt>, void (*)(nlopt_opt)>;

/// What is thrown must not pass through the library's frames: kept here until it has returned.
struct Guarded {
  nlopt_opt optimiser = nullptr;
  std::exception_ptr thrown;

  template <class Call>
  void operator()(Call&& call) {
    if (thrown) return;
    try {
      call();
    } catch (...) {
      thrown = std::current_exception();
      nlopt_force_stop(optimiser);
    }
  }
};

Optimiser make_optimiser(nlopt_algorithm algorithm, std::size_t variables, int most) {
  Optimiser optimiser(nlopt_create(algorithm, static_cast<unsigned>(variables)), nlopt_destroy);
  if (!optimiser) throw std::bad_alloc();
  nlopt_set_lower_bounds1(optimiser.get(), 0);
  nlopt_set_upper_bounds1(optimiser.get(), 1);
  nlopt_set_maxeval(optimiser.get(), most);
  return optimiser;
}

/// True where the algorithm ended by its own measure. Round-off limits what COBYLA can still gain: it has arrived too.
bool run(Optimiser& optimiser, std::vector<double>& x, Guarded& guarded) {
  double value = 0;
  const nlopt_result result = nlopt_optimize(optimiser.get(), x.data(), &value);
  if (guarded.thrown) std::rethrow_exception(guarded.thrown);
  if (result == NLOPT_OUT_OF_MEMORY) throw std::bad_alloc();
  if (result < 0 && result != NLOPT_ROUNDOFF_LIMITED && result != NLOPT_FAILURE)
    throw std::logic_error("the search was set up wrongly");
  return result != NLOPT_MAXEVAL_REACHED;
}

/// Whether `a` is at least as good as `b` in everything and better in something.
bool dominates(const std::vector<double>& a, const std::vector<double>& b) {
  bool better = false;
  for (std::size_t k = 0; k < a.size(); ++k) {
    if (a[k] > b[k]) return false;
    better = better || a[k] < b[k];
  }
  return better;
}

}  // namespace

Search::Search(SearchProblem problem, SearchOptions options)
    : problem_(std::move(problem)), options_(std::move(options)) {
  if (options_.start.empty()) options_.start.assign(problem_.variables, 0.5);
}

void Search::fit_scales(const Judged& judged) {
  if (!scales_.empty() || !judged.solved) return;
  for (const double value : judged.objectives) scales_.push_back(value == 0 ? 1 : std::abs(value));
}

std::size_t Search::ask(std::vector<double> x) {
  for (double& share : x) share = std::clamp(share, 0.0, 1.0);
  if (problem_.snap) x = problem_.snap(std::move(x));
  const auto [it, fresh] = known_.try_emplace(x, designs_.size());
  if (!fresh) return it->second;
  try {
    designs_.push_back({x, problem_.judge(x)});
  } catch (...) {
    known_.erase(it);
    throw;
  }
  fit_scales(designs_.back().judged);
  return designs_.size() - 1;
}

double Search::scaled(const SearchedDesign& design, std::size_t k) const {
  return design.judged.objectives[k] / scales_[k];
}

double Search::missed(const SearchedDesign& design, const Caps& caps) const {
  if (!design.judged.solved) return kInfinite;
  double largest = 0;
  for (const double constraint : design.judged.constraints) largest = std::max(largest, constraint);
  for (std::size_t k = 0; k < caps.size(); ++k) largest = std::max(largest, scaled(design, k) - caps[k]);
  return largest;
}

double Search::penalised(const SearchedDesign& design, std::size_t k) const {
  if (!design.judged.solved) return kImpossible;
  double value = scaled(design, k);
  for (const double constraint : design.judged.constraints) value += kPenalty * std::max(0.0, constraint);
  return value;
}

std::optional<std::size_t> Search::best(std::size_t k, const Caps& caps) const {
  std::optional<std::size_t> best;
  double best_missed = kInfinite;
  for (std::size_t i = 0; i < designs_.size(); ++i) {
    const double here = missed(designs_[i], caps);
    if (here == kInfinite) continue;
    const bool meets = here <= options_.tolerance, best_meets = best_missed <= options_.tolerance;
    const bool better = meets && best_meets ? scaled(designs_[i], k) < scaled(designs_[*best], k)
                                            : meets || (!best_meets && here < best_missed);
    if (best && !better) continue;
    best = i;
    best_missed = here;
  }
  return best;
}

void Search::divide(std::size_t k) {
  if (options_.global_points < 1) return;
  struct Division {
    Search& search;
    std::size_t k;
    Guarded guarded;
  } division{*this, k, {}};
  Optimiser optimiser = make_optimiser(NLOPT_GN_DIRECT_L, problem_.variables, options_.global_points);
  division.guarded.optimiser = optimiser.get();
  const nlopt_func value = [](unsigned n, const double* x, double*, void* data) {
    auto& d = *static_cast<Division*>(data);
    double result = kImpossible;
    d.guarded([&] { result = d.search.penalised(d.search.designs_[d.search.ask({x, x + n})], d.k); });
    return result;
  };
  nlopt_set_min_objective(optimiser.get(), value, &division);
  std::vector<double> x = options_.start;
  run(optimiser, x, division.guarded);
}

/// COBYLA's view of the problem. A design that cannot be solved misses everything by its whole limit and is no better
/// than where the descent began, so that the step there is taken back.
struct Search::Descent {
  Search& search;
  std::size_t k;
  const Caps& caps;
  double at_start = 0;
  std::vector<double> x{};             // of the design where it began, then of the one that is asked for
  std::vector<std::size_t> free = {};  // variables that the descent changes
  Guarded guarded{};

  const SearchedDesign& at(const double* values) {
    for (std::size_t i = 0; i < free.size(); ++i) x[free[i]] = values[i];
    return search.designs_[search.ask(x)];
  }
  double value(const double* values) {
    double result = at_start + 1;
    guarded([&] {
      const SearchedDesign& design = at(values);
      if (design.judged.solved) result = search.scaled(design, k);
    });
    return result;
  }
  void conditions(const double* values, double* result, unsigned count) {
    std::fill(result, result + count, 1.0);
    guarded([&] {
      const SearchedDesign& design = at(values);
      if (!design.judged.solved) return;
      result = std::copy(design.judged.constraints.begin(), design.judged.constraints.end(), result);
      for (std::size_t i = 0; i < caps.size(); ++i)
        if (i != k) *result++ = std::min(search.scaled(design, i) - caps[i], 1e6);
    });
  }
};

void Search::descend(std::size_t k, const Caps& caps) {
  const std::optional<std::size_t> from = best(k, caps);
  if (!from || options_.local_points < 1) return;
  Descent descent{*this, k, caps, scaled(designs_[*from], k), designs_[*from].x};
  for (std::size_t i = 0; i < problem_.variables; ++i)
    if (problem_.choices.empty() || !problem_.choices[i]) descent.free.push_back(i);
  if (descent.free.empty()) return;
  Optimiser optimiser = make_optimiser(NLOPT_LN_COBYLA, descent.free.size(), options_.local_points);
  descent.guarded.optimiser = optimiser.get();
  nlopt_set_min_objective(
      optimiser.get(),
      [](unsigned, const double* x, double*, void* data) { return static_cast<Descent*>(data)->value(x); }, &descent);
  const std::size_t conditions = problem_.constraints + (caps.empty() ? 0 : problem_.objectives - 1);
  if (conditions > 0)
    nlopt_add_inequality_mconstraint(
        optimiser.get(), static_cast<unsigned>(conditions),
        [](unsigned count, double* result, unsigned, const double* x, double*, void* data) {
          static_cast<Descent*>(data)->conditions(x, result, count);
        },
        &descent, std::vector<double>(conditions, options_.tolerance).data());
  nlopt_set_xtol_abs1(optimiser.get(), options_.step);
  nlopt_set_initial_step1(optimiser.get(), kFirstStep);
  std::vector<double> x;
  for (const std::size_t i : descent.free) x.push_back(descent.x[i]);
  arrived_ = run(optimiser, x, descent.guarded) && arrived_;
}

std::optional<std::size_t> Search::least(std::size_t k) {
  ask(options_.start);
  divide(k);
  descend(k, {});
  return best(k, {});
}

std::size_t Search::unbeaten(std::size_t design) const {
  for (std::size_t j = 0; j < designs_.size(); ++j)
    if (designs_[j].judged.solved && meets(j) &&
        dominates(designs_[j].judged.objectives, designs_[design].judged.objectives))
      return unbeaten(j);
  return design;
}

std::vector<std::size_t> Search::front() {
  const std::size_t objectives = problem_.objectives;
  std::vector<std::size_t> found;
  for (std::size_t k = 0; k < objectives; ++k)
    if (const auto end = least(k); end && meets(*end)) found.push_back(*end);
  if (found.size() < objectives) return {};
  // An objective's range: from its least value to the largest that it has where another one is least.
  std::vector<double> low(objectives, kInfinite), high(objectives, -kInfinite);
  for (const std::size_t end : found)
    for (std::size_t k = 0; k < objectives; ++k) {
      low[k] = std::min(low[k], scaled(designs_[end], k));
      high[k] = std::max(high[k], scaled(designs_[end], k));
    }
  const int parts = std::max(1, options_.front_points - 1);
  std::vector<int> at(objectives, 0);
  for (bool more = objectives > 1; more;) {
    // Without a cap, and with two objectives at the least value of the second, it is an end.
    const bool end = std::all_of(at.begin() + 1, at.end(), [&](int i) { return i == parts; });
    if (!end && (objectives > 2 || at[1] > 0)) {
      Caps caps(objectives, kInfinite);
      for (std::size_t k = 1; k < objectives; ++k) caps[k] = low[k] + (high[k] - low[k]) * at[k] / parts;
      descend(0, caps);
      if (const auto i = best(0, caps); i && missed(designs_[*i], caps) <= options_.tolerance) found.push_back(*i);
    }
    more = false;
    for (std::size_t k = 1; k < objectives && !more; ++k) more = ++at[k] <= parts || (at[k] = 0);
  }
  for (std::size_t& i : found) i = unbeaten(i);
  std::sort(found.begin(), found.end(), [&](std::size_t a, std::size_t b) {
    return designs_[a].judged.objectives < designs_[b].judged.objectives;
  });
  found.erase(std::unique(found.begin(), found.end()), found.end());
  return found;
}

}  // namespace polepitch
