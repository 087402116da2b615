// The fields of the studies' sweeps on the coarser mesh, carried over to the finer one: its points start from there,
// each by itself, so that results stay the same bit for bit with any number of workers.
#pragma once

#include <complex>
#include <map>
#include <mutex>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "solver/carry_over.h"
#include "solver/static_field.h"

namespace polepitch {

class Forerun {
 public:
  /// Keeps a reference to `coarser`.
  Forerun(const Section& section, const Mesh& coarser, const Mesh& mesh) : carry_(section, coarser, mesh) {}
  /// Thread-safe. Beyond kMostPoints of a sweep nothing is kept: memory.
  void keep(const std::string& sweep, size_t index, const Excitation& excitation, const StaticSolution& solution);
  /// None where the coarser mesh had no such point, or another one (a study may search for its points).
  std::optional<StaticSolution> start(const std::string& sweep, size_t index, const Excitation& excitation) const;

  /// The same for fields that are not static: parts of nodal values (real and imaginary), and what tells one point from
  /// another.
  void keep(const std::string& sweep, size_t index, const std::vector<double>& point,
            const std::vector<std::complex<double>>& a);
  std::optional<std::vector<std::complex<double>>> start(const std::string& sweep, size_t index,
                                                         const std::vector<double>& point) const;

  /// What a study decided on the coarser mesh (the lines of a grid), so that both meshes hold the same points.
  void keep_decision(const std::string& name, std::vector<double> values) { decisions_[name] = std::move(values); }
  /// Null where the coarser mesh did not come so far.
  const std::vector<double>* decision(const std::string& name) const {
    const auto it = decisions_.find(name);
    return it == decisions_.end() ? nullptr : &it->second;
  }

 private:
  static constexpr size_t kMostPoints = 2000;
  struct Point {
    Excitation excitation;
    StaticSolution solution;
  };
  CarryOver carry_;
  std::map<std::pair<std::string, size_t>, Point> points_;
  std::map<std::string, std::vector<double>> decisions_;
  std::mutex mutex_;
};

}  // namespace polepitch
