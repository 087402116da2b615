#include "solver/material.h"

namespace polepitch {

namespace {

constexpr double reference_temperature = 293.15;  // K: material data are stated at 20 °C

}  // namespace

double Material::conductivity_at(double kelvin) const {
  return conductivity / (1 + temperature_coefficient * (kelvin - reference_temperature));
}

double Material::remanence_at(double kelvin) const {
  return remanence * (1 + remanence_coefficient * (kelvin - reference_temperature));
}

std::optional<double> Material::knee_field_at(double kelvin) const {
  if (!knee_field) return std::nullopt;
  return *knee_field * (1 + knee_coefficient * (kelvin - reference_temperature));
}

BhCurve Material::curve(double stacking) const {
  if (!b.empty()) return BhCurve(b, h, stacking);
  return BhCurve(stacking * mu_r + (1 - stacking));
}

}  // namespace polepitch
