#include "post/characteristic_constructions.h"

#include <algorithm>
#include <cmath>
#include <complex>
#include <numbers>

#include "geometry/section.h"

namespace polepitch {
namespace {

using Stroke = ConstructionLine::Kind;
using Phasor = std::complex<double>;

constexpr double kQuarter = std::numbers::pi / 2;

Construction over_field_current(const char* name, const char* title, const char* source) {
  Construction c;
  c.name = name;
  c.title = title;
  c.source = source;
  c.x_name = "field_current";
  c.x_unit = "A";
  c.y_name = "voltage or armature current, per unit";
  return c;
}

/// The points themselves, and enough between them to draw the curve.
ConstructionLine line_of(const std::string& name, const MonotoneCurve& curve, double base) {
  ConstructionLine line{name, {}, {}, Stroke::curve};
  constexpr int kBetween = 5;
  const std::vector<double>& x = curve.x();
  for (size_t i = 0; i < x.size(); ++i)
    for (int k = 0; k < (i + 1 < x.size() ? kBetween : 1); ++k) {
      const double at = k == 0 ? x[i] : x[i] + (x[i + 1] - x[i]) * k / kBetween;
      line.x.push_back(at);
      line.y.push_back(curve.at(at) / base);
    }
  return line;
}

ConstructionLine straight(const std::string& name, Point from, Point to, Stroke kind = Stroke::straight) {
  return {name, {from.x, to.x}, {from.y, to.y}, kind};
}

ConstructionLine air_gap(const CharacteristicCurves& c) {
  const double top = 1.05 * c.no_load.y().back();
  return straight("air-gap line", {0, 0}, {c.line.current(top), top / c.voltage});
}

ConstructionLine drop(Point p) {
  return straight("", p, {p.x, 0}, Stroke::help);
}

void add_saturation(Construction& c, const CharacteristicCurves& curves, double share, const std::string& tail) {
  const double u = share * curves.voltage, on_line = curves.line.current(u), on_curve = curves.no_load.where(u);
  c.points.push_back({"G" + tail, on_line, share, "on the air-gap line"});
  c.points.push_back({"O" + tail, on_curve, share, "on the no-load curve"});
  c.lines.push_back(straight("", {0, share}, {on_curve, share}, Stroke::help));
}

void add_phasor(Construction& c, const std::string& line, Phasor from, Phasor to) {
  c.lines.push_back(straight(line, {from.real(), from.imag()}, {to.real(), to.imag()}, Stroke::arrow));
}

void add_point(Construction& c, const std::string& name, Phasor at, const std::string& meaning) {
  c.points.push_back({name, at.real(), at.imag(), meaning});
}

Construction phasors(const char* name, const char* title, const char* source) {
  Construction c;
  c.name = name;
  c.title = title;
  c.source = source;
  c.x_name = "along the terminal voltage, per unit";
  c.y_name = "ahead of it by 90 degrees, per unit";
  c.equal_scales = true;
  return c;
}

}  // namespace

Construction saturation_construction(const CharacteristicCurves& curves) {
  Construction c = over_field_current("saturation_factors", "Saturation factors from no-load curve and air-gap line",
                                      "IEEE Std 115");
  c.y_name = "voltage, per unit";
  c.lines = {line_of("no-load curve", curves.no_load, curves.voltage), air_gap(curves)};
  add_saturation(c, curves, 1.0, "1.0");
  if (curves.no_load.y().back() >= 1.2 * curves.voltage) add_saturation(c, curves, 1.2, "1.2");
  return c;
}

Construction short_circuit_construction(const CharacteristicCurves& curves, const ShortCircuitRatio& ratio) {
  Construction c = over_field_current("short_circuit_ratio", "Direct-axis reactance and short-circuit ratio",
                                      "IEC 60034-4-1, IEEE Std 115");
  c.lines = {line_of("no-load curve", curves.no_load, curves.voltage), air_gap(curves),
             line_of("short-circuit curve", curves.short_circuit, curves.current),
             straight("", {0, 1}, {std::max(ratio.i_f0, ratio.i_fk), 1}, Stroke::help)};
  c.points = {{"i_fg", ratio.i_fg, 1, "rated voltage on the air-gap line"},
              {"i_f0", ratio.i_f0, 1, "rated voltage on no load"},
              {"i_fk", ratio.i_fk, 1, "rated current on short circuit"}};
  for (const ConstructionPoint& p : std::vector<ConstructionPoint>(c.points)) c.lines.push_back(drop({p.x, p.y}));
  return c;
}

Construction potier_construction(const CharacteristicCurves& curves, const ShortCircuitRatio& ratio,
                                 const PotierTriangle& t) {
  Construction c = over_field_current("potier_triangle", "Potier's triangle at rated voltage and rated current",
                                      "IEC 60034-4-1, IEEE Std 115");
  c.y_name = "voltage, per unit";
  const double u = t.voltage / curves.voltage, e = t.u_c / curves.voltage;
  c.lines = {line_of("no-load curve", curves.no_load, curves.voltage),
             air_gap(curves),
             line_of("zero-power-factor curve", curves.zero_power_factor, curves.voltage),
             straight("BA, as long as OK", {t.i_fb, u}, {t.i_fa, u}),
             straight("BC, parallel to the air-gap line", {t.i_fb, u}, {t.i_fc, e}),
             straight("CD = X_p I", {t.i_fc, e}, {t.i_fc, u}),
             straight("CA", {t.i_fc, e}, {t.i_fa, u}, Stroke::help)};
  c.points = {{"O", 0, 0, "origin"},
              {"K", ratio.i_fk, 0, "rated current on short circuit"},
              {"A", t.i_fa, u, "rated voltage and current at zero power factor"},
              {"B", t.i_fb, u, "i_fk left of A"},
              {"C", t.i_fc, e, "on the no-load curve"},
              {"D", t.i_fc, u, "foot of C; DA is the armature reaction in field current"}};
  return c;
}

Construction potier_diagram_construction(const CharacteristicCurves& curves, const ShortCircuitRatio& ratio,
                                         const PotierTriangle& triangle, const GeneratorLoad& load,
                                         const PotierDiagram& d) {
  Construction c = phasors("potier_diagram", "Field current at rated load by Potier's diagram", "IEC 60034-4-1");
  const Phasor u = load.voltage / curves.voltage, i = std::polar(load.current, d.current_angle);
  const Phasor behind_r = u + load.resistance * i / curves.voltage;
  const Phasor e = behind_r + Phasor(0, triangle.reactance()) * i / curves.voltage;
  const Phasor i_fp = std::polar(d.i_fp, d.e_p_angle - kQuarter) / ratio.i_f0;
  const Phasor i_f = i_fp + std::polar(d.i_fa, d.current_angle) / ratio.i_f0;
  add_phasor(c, "U", 0, u);
  add_phasor(c, "R I", u, behind_r);
  add_phasor(c, "jX_p I", behind_r, e);
  add_phasor(c, "E_p", 0, e);
  add_phasor(c, "I", 0, i / curves.current);
  add_phasor(c, "i_fp", 0, i_fp);
  add_phasor(c, "i_fa, along I", i_fp, i_f);
  add_phasor(c, "i_f", 0, i_f);
  add_point(c, "U", u, "terminal voltage");
  add_point(c, "E_p", e, "voltage behind the Potier reactance");
  add_point(c, "I", i / curves.current, "armature current out of the terminal");
  add_point(c, "i_fp", i_fp, "field current of E_p on no load, 90 degrees behind E_p");
  add_point(c, "i_f", i_f, "field current at rated load");
  return c;
}

Construction increment_construction(const ShortCircuitRatio& ratio, const SaturationIncrement& s) {
  Construction c =
      phasors("saturation_increment", "Field current at rated load by the saturation increment", "IEEE Std 115");
  // The phasor of the air-gap line's current upright, as U + R I would stand 90° ahead of it to the left.
  const double sine = s.i_fk > 0 ? (s.sum * s.sum - s.i_fg * s.i_fg - s.i_fk * s.i_fk) / (2 * s.i_fg * s.i_fk) : 0;
  const Phasor g = Phasor(0, s.i_fg) / ratio.i_f0;
  const Phasor k = s.i_fk * Phasor(std::sqrt(std::max(0.0, 1 - sine * sine)), sine) / ratio.i_f0;
  const Phasor sum = g + k, end = sum * (s.i_f / s.sum);
  c.x_name = "field current over that of no load";
  c.y_name = "";
  add_phasor(c, "i_fg", 0, g);
  add_phasor(c, "i_fk", g, sum);
  add_phasor(c, "sum", 0, sum);
  add_phasor(c, "saturation increment at E_p", sum, end);
  add_point(c, "G", g, "field current of the terminal voltage on the air-gap line");
  add_point(c, "S", sum, "sum with the field current of the armature current on short circuit");
  add_point(c, "F", end, "field current at rated load");
  return c;
}

}  // namespace polepitch
