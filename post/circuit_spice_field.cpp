// SPICE subcircuit of a saturated flux map with the field current as a state: maps over i_d and i_q of every field
// current, and between them the map's own spline.
#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>

#include "post/circuit_files.h"
#include "post/cubic_spline.h"
#include "post/spice_text.h"

namespace polepitch {
namespace {

/// a + b u + c u² + d u³ of the piece that begins at `from` (A).
struct Piece {
  double from, a, b, c, d;
};

/// Share of plane k in what the spline along the field current gives: 1 at its own current, 0 at all others; straight
/// on past the ends.
std::vector<Piece> share_of_plane(const std::vector<double>& x, size_t k) {
  std::vector<double> y(x.size(), 0.0);
  y[k] = 1;
  const std::vector<double> s = spline_slopes(x, y);
  std::vector<Piece> pieces{{x.front(), y.front(), s.front(), 0, 0}};
  for (size_t i = 0; i + 1 < x.size(); ++i) {
    const double h = x[i + 1] - x[i], chord = (y[i + 1] - y[i]) / h;
    pieces.push_back(
        {x[i], y[i], s[i], (3 * chord - 2 * s[i] - s[i + 1]) / h, (s[i] + s[i + 1] - 2 * chord) / (h * h)});
  }
  pieces.push_back({x.back(), y.back(), s.back(), 0, 0});
  return pieces;
}

/// The pieces as one expression in V(if).
std::string expression(const std::vector<Piece>& pieces) {
  std::string text;
  for (size_t i = 0; i < pieces.size(); ++i) {
    const Piece& p = pieces[i];
    const std::string u = fmt::format("(V(if)-({:.17g}))", p.from);
    const std::string cubic =
        fmt::format("({0:.17g}+{4}*({1:.17g}+{4}*({2:.17g}+{4}*({3:.17g}))))", p.a, p.b, p.c, p.d, u);
    if (i + 1 < pieces.size())
      text += fmt::format("(V(if)<{:.17g})?{}:(", pieces[i + 1].from, cubic);
    else
      text += cubic;
  }
  return text + std::string(pieces.size() - 1, ')');
}

/// What a linkage grows by per ampere past the ends of its tables: as there where it grows least, so that currents stay
/// determined.
double slope_beyond(const FluxMapSurface& surface, bool d) {
  const FluxMap& map = surface.map();
  double least = HUGE_VAL;
  for (double i_f : map.i_f)
    for (double other : d ? map.i_q : map.i_d)
      for (double end : d ? std::array{map.i_d.front(), map.i_d.back()} : std::array{map.i_q.front(), map.i_q.back()}) {
        const FluxMapPoint p = d ? surface.at(end, other, i_f) : surface.at(other, end, i_f);
        least = std::min(least, d ? p.l_dd : p.l_qq);
      }
  return std::max(least, 0.0);
}

std::string remarks(const CircuitModel& model, const CircuitMap& entry, const FluxMapSurface& surface) {
  std::string text =
      spice_header(model, fmt::format("saturated flux map of study {}, field current a state", entry.result.study));
  text += fmt::format(
      "* f1 f2: terminals of the field winding. Between its points the map is within {:.2g} of the field's largest "
      "linkage and {:.2g} of its largest torque.\n"
      "* Past the tables linkages go on with the least slope of their ends, torque holds its last value.\n"
      "* Start without stator current at a field current (A):\n",
      entry.result.linkage_error, entry.result.torque_error);
  for (double i_f : surface.map().i_f) {
    const FluxMapPoint p = surface.at(0, 0, i_f);
    text +=
        fmt::format("*   {:.6g}: psid0={:.10g} psiq0={:.10g} psif0={:.10g}\n", i_f, p.lambda_d, p.lambda_q, p.lambda_f);
  }
  return text;
}

/// A quantity of every plane by its tables, and the sum with their shares as the node `what`.
std::string blended(const std::string& what, const std::string& tables, size_t planes, int first) {
  std::string text, sum;
  for (size_t k = 0; k < planes; ++k) {
    text += fmt::format(
        "A{0}{1} %v(id) %v(iq) %v({0}{1}) tab_{0}{1}\n.model tab_{0}{1} table2d (offset=0 gain=1 order=3 "
        "file=\"machine_map_{2}_{3}.tab\")\n",
        what, k + 1, first + static_cast<int>(k), tables);
    sum += fmt::format("{}V(share{})*V({}{})", k ? "+" : "", k + 1, what, k + 1);
  }
  return text + fmt::format("B{0} {0} 0 V={1}\n", what, sum);
}

/// Currents such that the maps' linkages are the states: no inverse is needed.
std::string current_equations(const FluxMapSurface& surface) {
  const FluxMap& map = surface.map();
  std::string text;
  for (const bool d : {true, false}) {
    const char axis = d ? 'd' : 'q';
    const std::vector<double>& lines = d ? map.i_d : map.i_q;
    text += fmt::format("Bi{0} 0 i{0} I=V(psi{0})-V(map{0})-({1:.17g})*(V(i{0})-min(max(V(i{0}),{2:.17g}),{3:.17g}))\n",
                        axis, slope_beyond(surface, d), lines.front(), lines.back());
  }
  return text + "Bif 0 if I=V(psif)-V(mapf)\n";
}

}  // namespace

CircuitFile spice_field_file(const CircuitModel& model, const CircuitMap& entry, int number, int first_plane,
                             double resistance, double field_resistance) {
  const FluxMapSurface surface(entry.result.map);
  const FluxMap& map = surface.map();
  const size_t planes = map.i_f.size();
  const std::string name = fmt::format("machine_field_{}", number);
  const FluxMapPoint rest = surface.at(0, 0, std::clamp(0.0, map.i_f.front(), map.i_f.back()));
  std::string text = remarks(model, entry, surface);
  text += fmt::format(
      ".subckt {} {} f1 f2 speed torque params: rs={:.17g} rf={:.17g} theta0=0 psid0={:.17g} psiq0={:.17g} "
      "psif0={:.17g}\n",
      name, spice_terminals(model), resistance, field_resistance, rest.lambda_d, rest.lambda_q, rest.lambda_f);
  text += spice_frame(model);
  text += "Bpsif 0 psif I=V(f1,f2)-{rf}*V(if)\nCpsif psif 0 1 ic={psif0}\nBf f1 f2 I=V(if)\nRf f1 f2 1e9\n";
  for (size_t k = 0; k < planes; ++k)
    text += fmt::format("Bshare{0} share{0} 0 V={1}\n", k + 1, expression(share_of_plane(map.i_f, k)));
  text += blended("mapd", "lambda_d", planes, first_plane) + blended("mapq", "lambda_q", planes, first_plane) +
          blended("mapf", "lambda_f", planes, first_plane) + blended("torque", "torque", planes, first_plane);
  text += current_equations(surface) + fmt::format(".ends {}\n", name);
  return {name + ".cir", text};
}

}  // namespace polepitch
