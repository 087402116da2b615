// H(B) of an isotropic magnetic material: monotone, C1 (PCHIP), with a smooth knee to slope 1/μ0 past the table.
#pragma once

#include <span>
#include <string>
#include <vector>

#include "solver/lanes.h"

namespace polepitch {

inline constexpr double mu0 = 1.25663706212e-6;  // H/m, CODATA 2018
inline constexpr double pi = 3.14159265358979323846;

class BhCurve {
 public:
  /// Linear: H = B / (μ0 μr).
  explicit BhCurve(double mu_r = 1);
  /// Table of the lamination, b[0] = h[0] = 0, checked already (check_bh_table). `stacking` k turns it into the
  /// apparent curve: B = k B_lam + (1 − k) μ0 H.
  BhCurve(std::span<const double> b, std::span<const double> h, double stacking = 1);

  struct Sample {
    double h;      // A/m
    double dh_db;  // A/m/T
  };
  /// At b >= 0 [T]; constant-time segment search.
  Sample at(double b) const;
  double h(double b) const { return at(b).h; }
  /// Reluctivity H/B and its derivative dν/d(B²), both finite at 0.
  void reluctivity(double b_squared, double& nu, double& dnu_db2) const;
  /// The same at the places of `count` packs.
  void reluctivity(const Lanes* b_squared, Lanes* nu, Lanes* dnu_db2, int count) const;
  /// w(B) = ∫ H dB [J/m3], the exact integral of at().
  double energy(double b) const;

  bool linear() const { return segments_.empty(); }
  /// Largest B of the table [T]; above it the curve is extrapolated.
  double table_end() const { return table_end_; }

 private:
  struct Segment {  // h = h0 + s (c1 + s (c2 + s c3)), s = b − b0; w the energy at b0
    double b0, h0, c1, c2, c3, w;
  };
  const Segment& find(double b) const;
  void close_with_knee(double h_end, double slope_end);
  void integrate_and_index(double narrowest);
  double nu_linear_ = 0;
  double table_end_ = 0;
  std::vector<Segment> segments_;  // the last one is the straight line of slope 1/μ0
  std::vector<int> bucket_;        // first segment of each of equal steps of b
  double bucket_per_tesla_ = 0;
};

/// Fault of a B–H table, or "" when it is good. `row` is the offending row (from 0). Rising strictly in B and H, starts
/// at the origin, slope dB/dH never under μ0.
struct BhFault {
  std::string message;
  int row = -1;
};
BhFault check_bh_table(std::span<const double> b, std::span<const double> h);

}  // namespace polepitch
