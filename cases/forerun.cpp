#include "cases/forerun.h"

namespace polepitch {

void Forerun::keep(const std::string& sweep, size_t index, const Excitation& excitation,
                   const StaticSolution& solution) {
  if (index >= kMostPoints) return;
  const std::lock_guard<std::mutex> lock(mutex_);
  points_[{sweep, index}] = {excitation, solution};
}

std::optional<StaticSolution> Forerun::start(const std::string& sweep, size_t index,
                                             const Excitation& excitation) const {
  const auto it = points_.find({sweep, index});
  if (it == points_.end()) return std::nullopt;
  const Excitation& former = it->second.excitation;
  if (former.currents != excitation.currents || former.rotor_angle != excitation.rotor_angle ||
      former.magnets != excitation.magnets)
    return std::nullopt;
  StaticSolution start;
  start.rotor_angle = excitation.rotor_angle;
  start.a = carry_(it->second.solution.a);
  return start;
}

void Forerun::keep(const std::string& sweep, size_t index, const std::vector<double>& point,
                   const std::vector<std::complex<double>>& a) {
  StaticSolution re, im;
  for (const std::complex<double>& value : a) {
    re.a.push_back(value.real());
    im.a.push_back(value.imag());
  }
  Excitation key;
  key.currents = point;
  keep(sweep + "/re", index, key, re);
  keep(sweep + "/im", index, key, im);
}

std::optional<std::vector<std::complex<double>>> Forerun::start(const std::string& sweep, size_t index,
                                                                const std::vector<double>& point) const {
  Excitation key;
  key.currents = point;
  const auto re = start(sweep + "/re", index, key), im = start(sweep + "/im", index, key);
  if (!re || !im) return std::nullopt;
  std::vector<std::complex<double>> a;
  for (size_t n = 0; n < re->a.size(); ++n) a.emplace_back(re->a[n], im->a[n]);
  return a;
}

}  // namespace polepitch
