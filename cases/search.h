// Least of one objective, or the front of several, over a box and under constraints: of any function, whatever it
// means. The one user of NLopt. Deterministic: the same answers of `judge` lead to the same designs in the same order,
// so that a search that is begun again with a memory of them goes on where it stopped.
#pragma once

#include <cstddef>
#include <functional>
#include <map>
#include <optional>
#include <vector>

namespace polepitch {

/// What a design is worth.
struct Judged {
  bool solved = false;              // false: nothing is known but that it cannot be; the others are empty
  std::vector<double> objectives;   // to be made least; any scale
  std::vector<double> constraints;  // met where ≤ 0; in shares of the limit, so that a tolerance has a meaning
};

struct SearchProblem {
  std::size_t variables = 1, objectives = 1, constraints = 0;
  /// `x`: `variables` numbers from 0 to 1. May throw; what it throws ends the search and reaches its caller.
  std::function<Judged(const std::vector<double>& x)> judge;
  /// The design that stands for `x`: near ones fall together. Empty: every x is its own design.
  std::function<std::vector<double>(std::vector<double> x)> snap = {};
  std::vector<bool> choices = {};  // variables that stand for a choice: descents leave them alone; empty: none
};

struct SearchOptions {
  std::vector<double> start;  // judged first; empty: the middle
  int global_points = 40;     // most designs of the division of the whole box, once for each objective
  int local_points = 40;      // most designs of a descent
  int front_points = 7;       // of a front, in each objective but the first
  double tolerance = 1e-3;    // of a constraint that counts as met
  double step = 1e-3;         // of the box: a descent that moves less has arrived
};

struct SearchedDesign {
  std::vector<double> x;
  Judged judged;
};

class Search {
 public:
  Search(SearchProblem problem, SearchOptions options);

  /// The design with the least objective `k` among those that meet the constraints; where none does, the one that
  /// misses them least. Global (DIRECT with a penalty on what is missed), then local (COBYLA) from the best design
  /// known. Nothing where no design was solved.
  std::optional<std::size_t> least(std::size_t k);

  /// Designs of which none is better in every objective, by the first: for caps on all objectives but the first, evenly
  /// between their least values and those where the others are least, the least first one. The ends are in it.
  std::vector<std::size_t> front();

  const std::vector<SearchedDesign>& designs() const { return designs_; }  // in the order in which they were asked for
  bool meets(std::size_t design) const { return missed(designs_[design], {}) <= options_.tolerance; }
  /// Largest share by which a constraint is missed; 0 where all are met, infinite where nothing was solved.
  double missed(std::size_t design) const { return missed(designs_[design], {}); }
  bool arrived() const { return arrived_; }  // no descent of `least` or `front` ended at its most designs

 private:
  using Caps = std::vector<double>;  // on scaled objectives; empty: none
  struct Descent;

  std::size_t ask(std::vector<double> x);
  double scaled(const SearchedDesign& design, std::size_t k) const;
  double missed(const SearchedDesign& design, const Caps& caps) const;
  double penalised(const SearchedDesign& design, std::size_t k) const;
  std::optional<std::size_t> best(std::size_t k, const Caps& caps) const;
  /// The design itself, or one that meets the constraints and is better in something and worse in nothing, if any is.
  std::size_t unbeaten(std::size_t design) const;
  void divide(std::size_t k);
  void descend(std::size_t k, const Caps& caps);
  void fit_scales(const Judged& judged);

  SearchProblem problem_;
  SearchOptions options_;
  std::vector<SearchedDesign> designs_;
  std::map<std::vector<double>, std::size_t> known_;
  std::vector<double> scales_;  // of the objectives: magnitudes of the first solved design
  bool arrived_ = true;
};

}  // namespace polepitch
