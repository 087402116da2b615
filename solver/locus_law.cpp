#include "solver/locus_law.h"

#include <array>
#include <cmath>
#include <numbers>

namespace polepitch {
namespace {

constexpr int kInstants = 16;

struct Instants {
  std::array<double, kInstants> c, s;
  Instants() {
    for (int k = 0; k < kInstants; ++k) {
      const double t = std::numbers::pi * (k + 0.5) / kInstants;
      c[k] = std::cos(t);
      s[k] = -std::sin(t);  // Re (B e^{jωt}) = Re B cos − Im B sin
    }
  }
};

}  // namespace

LocusLaw locus_law(const BhCurve& curve, const double b[4]) {
  static const Instants at;
  LocusLaw law{};
  for (int k = 0; k < kInstants; ++k) {
    const double c = at.c[k], s = at.s[k], x = c * b[0] + s * b[2], y = c * b[1] + s * b[3];
    double nu, slope;
    curve.reluctivity(x * x + y * y, nu, slope);
    const double share = 2.0 / kInstants, xx = share * (nu + 2 * slope * x * x), yy = share * (nu + 2 * slope * y * y),
                 xy = share * 2 * slope * x * y;
    law.h[0] += share * nu * x * c;
    law.h[1] += share * nu * y * c;
    law.h[2] += share * nu * x * s;
    law.h[3] += share * nu * y * s;
    const double cc = c * c, cs = c * s, ss = s * s;
    const double part[2][2] = {{xx, xy}, {xy, yy}};
    for (int i = 0; i < 2; ++i)
      for (int j = 0; j < 2; ++j) {
        law.tangent[i][j] += cc * part[i][j];
        law.tangent[i][j + 2] += cs * part[i][j];
        law.tangent[i + 2][j] += cs * part[i][j];
        law.tangent[i + 2][j + 2] += ss * part[i][j];
      }
  }
  return law;
}

}  // namespace polepitch
