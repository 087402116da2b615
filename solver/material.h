// Material data at a stated temperature, as the material files give it.
#pragma once

#include <map>
#include <optional>
#include <string>
#include <vector>

#include "solver/bh_curve.h"

namespace polepitch {

/// Three-term iron loss at sinusoidal B: k_h f B^alpha + k_c (f B)² + k_e (f B)^1.5 [W/kg].
struct IronLossCoefficients {
  double hysteresis = 0, exponent = 2, classical = 0, excess = 0;
};

struct Material {
  std::string name;
  std::string kind;          // "steel", "conductor", "magnet", "gas", "insulation"
  std::string source;        // where the data come from
  bool invented = false;     // demo data
  std::vector<double> b, h;  // T, A/m: B–H table of the lamination; empty when linear
  double mu_r = 1;
  double conductivity = 0;             // S/m at 20 °C; 0: not a conductor or not stated
  double temperature_coefficient = 0;  // 1/K of resistivity, referred to 20 °C
  double density = 0;                  // kg/m3; 0: not stated
  double remanence = 0;                // T at 20 °C
  double remanence_coefficient = 0;    // 1/K, negative for the usual magnets
  std::optional<double> knee_field;    // A/m (negative) at 20 °C: start of irreversible loss
  double knee_coefficient = 0;         // 1/K of the knee field, referred to 20 °C
  std::optional<IronLossCoefficients> iron_loss;

  double conductivity_at(double kelvin) const;
  double remanence_at(double kelvin) const;
  std::optional<double> knee_field_at(double kelvin) const;
  BhCurve curve(double stacking = 1) const;  // magnets: the recoil line without its remanence
};

using Materials = std::map<std::string, Material>;

}  // namespace polepitch
