#include "post/characteristics.h"

#include <cmath>
#include <complex>
#include <numbers>
#include <stdexcept>

namespace polepitch {
namespace {

using Phasor = std::complex<double>;

// Of the voltage, between the no-load curve and B: under it the triangle's corner is where two near parallels cross.
constexpr double kLeastBend = 2e-3;

/// φ > 0: the current lies behind the voltage.
double lag(const GeneratorLoad& load) {
  return std::acos(load.power_factor);
}

Phasor behind_potier(const GeneratorLoad& load, double reactance) {
  return load.voltage + Phasor(load.resistance, reactance) * std::polar(load.current, -lag(load));
}

}  // namespace

AirGapLine air_gap_line(const MonotoneCurve& no_load) {
  AirGapLine line;
  for (size_t i = 0; i < no_load.x().size(); ++i)
    if (const double x = no_load.x()[i]; x > 0 && no_load.y()[i] / x > line.slope) line = {no_load.y()[i] / x, x};
  if (line.slope <= 0) throw std::logic_error("air-gap line: the no-load curve does not rise");
  return line;
}

double saturation_factor(const MonotoneCurve& no_load, const AirGapLine& line, double voltage) {
  return no_load.where(voltage) / line.current(voltage) - 1;
}

std::optional<PotierTriangle> potier_triangle(const MonotoneCurve& no_load, const AirGapLine& line, double i_fk,
                                              double i_fa, double voltage, double current) {
  PotierTriangle t;
  t.voltage = voltage;
  t.current = current;
  t.i_fa = i_fa;
  t.i_fb = i_fa - i_fk;
  // The no-load curve less the line through B: above it at B for every machine whose curves are of one voltage and
  // current, under it further out, since the curve bends and the line does not.
  const auto above = [&](double x) { return no_load.at(x) - (voltage + line.slope * (x - t.i_fb)); };
  double low = t.i_fb, high = i_fa;
  if (!(low > 0) || above(low) < kLeastBend * voltage || above(high) >= 0) return std::nullopt;
  for (int step = 0; step < 200; ++step) {
    const double middle = 0.5 * (low + high);
    (above(middle) > 0 ? low : high) = middle;
  }
  t.i_fc = 0.5 * (low + high);
  t.u_c = no_load.at(t.i_fc);
  return t;
}

PotierDiagram potier_diagram(const MonotoneCurve& no_load, const PotierTriangle& triangle, const GeneratorLoad& load) {
  PotierDiagram d;
  const Phasor e = behind_potier(load, triangle.reactance());
  d.e_p = std::abs(e);
  d.e_p_angle = std::arg(e);
  d.i_fp = no_load.where(d.e_p);
  d.i_fa = triangle.armature_reaction() * load.current / triangle.current;
  d.current_angle = -lag(load);
  const Phasor sum = std::polar(d.i_fp, d.e_p_angle - std::numbers::pi / 2) + std::polar(d.i_fa, d.current_angle);
  d.i_f = std::abs(sum);
  d.i_f_angle = std::arg(sum);
  return d;
}

SaturationIncrement saturation_increment(const MonotoneCurve& no_load, const AirGapLine& line, double i_fk,
                                         const PotierTriangle& triangle, const GeneratorLoad& load) {
  SaturationIncrement s;
  const Phasor armature = behind_potier(load, 0);  // U + R I
  const double phi = lag(load) + std::arg(armature);
  s.i_fg = line.current(std::abs(armature));
  s.i_fk = i_fk * load.current / triangle.current;
  s.sum = std::hypot(s.i_fg + s.i_fk * std::sin(phi), s.i_fk * std::cos(phi));
  const double e_p = std::abs(behind_potier(load, triangle.reactance()));
  s.increment = no_load.where(e_p) - line.current(e_p);
  s.i_f = s.sum + s.increment;
  return s;
}

}  // namespace polepitch
