#include "post/mmf.h"

#include <cmath>

#include "post/gap_quantities.h"

namespace polepitch {

namespace {

using Complex = std::complex<double>;

Side side_of(const Section& section, int branch) {
  for (const Region& region : section.regions) {
    if (region.branch == branch) return region.side;
  }
  return section.branches[branch].kind == BranchKind::phase ? Side::stator : Side::rotor;
}

/// The radial component of ν B_rem at an angle [A/m].
double radial_magnetisation(const Magnetisation& magnet, double strength, double angle) {
  switch (magnet.pattern) {
    case Magnetisation::Pattern::radial:
      return magnet.sign * strength;
    case Magnetisation::Pattern::parallel:
      return strength * std::cos(magnet.direction - angle);
    case Magnetisation::Pattern::none:
      break;
  }
  return 0;
}

// Gauss and Legendre's rule on (0, 1).
constexpr double kPlaces[] = {0.033765242898423987, 0.16939530676686774, 0.38069040695840155,
                              0.61930959304159845,  0.83060469323313226, 0.96623475710157603};
constexpr double kWeights[] = {0.085662246189585173, 0.18038078652406930, 0.23395696728634552,
                               0.23395696728634552,  0.18038078652406930, 0.085662246189585173};
constexpr int kPieces = 8;  // of a curve, which is at most a quarter of a circle: nothing is left but round-off

/// Calls `visit(point, x dy − y dx)` along the curve, from its start.
template <class Visit>
void along_curve(const SideSection& side, const Curve& c, Visit visit) {
  const Point a = side.points[static_cast<std::size_t>(c.start)], b = side.points[static_cast<std::size_t>(c.end)];
  const double from = std::atan2(a.y - c.centre.y, a.x - c.centre.x),
               r = std::hypot(a.x - c.centre.x, a.y - c.centre.y);
  const double turn = std::remainder(std::atan2(b.y - c.centre.y, b.x - c.centre.x) - from, 2 * pi);
  for (int piece = 0; piece < kPieces; ++piece)
    for (int k = 0; k < 6; ++k) {
      const double t = (piece + kPlaces[k]) / kPieces, weight = kWeights[k] / kPieces;
      if (c.arc) {
        const Point ray{r * std::cos(from + t * turn), r * std::sin(from + t * turn)};
        const Point p{c.centre.x + ray.x, c.centre.y + ray.y};
        visit(p, weight * turn * (p.x * ray.x + p.y * ray.y));
      } else {
        visit(Point{a.x + t * (b.x - a.x), a.y + t * (b.y - a.y)}, weight * (a.x * b.y - a.y * b.x));
      }
    }
}

/// Calls `visit(point, x dy − y dx)` round the region's outline and its holes.
template <class Visit>
void along_outline(const Section& section, const Region& region, Visit visit) {
  const SideSection& side = section.sides[static_cast<std::size_t>(region.side)];
  for (const std::vector<int>& loop : region.loops)
    for (int entry : loop) {
      const double sense = entry < 0 ? -1 : 1;
      along_curve(side, side.curves[static_cast<std::size_t>(entry < 0 ? -1 - entry : entry)],
                  [&](Point p, double twice_area) { visit(p, sense * twice_area); });
    }
}

double magnet_strength(const StaticField& field, int region) {
  double nu = 0, slope = 0;
  field.curve(region).reluctivity(0, nu, slope);
  return nu * field.remanence(region);
}

Excitation only(const Excitation& all, const Section& section, Side side) {
  Excitation part = all;
  part.currents.resize(section.branches.size(), 0.0);
  for (std::size_t i = 0; i < part.currents.size(); ++i) {
    if (side_of(section, static_cast<int>(i)) != side) part.currents[i] = 0;
  }
  // Magnets sit on the rotor in every catalogue entry; a stator magnet would have to be split by region.
  if (side == Side::stator) part.magnets = 0;
  return part;
}

double wrapped(double angle) {
  return std::remainder(angle, 2 * pi);
}

}  // namespace

// In polar coordinates dS = r dr dθ and r² dθ = x dy − y dx, so that what depends on the angle alone is integrated over
// the radius in closed form: ∫ f dS = ½ ∮ f (x dy − y dx), ∫ f/r dS = ∮ f (x dy − y dx)/r.
MmfMoments mmf_moments(const StaticField& field) {
  const Section& section = field.section();
  const int p = section.pole_pairs;
  const std::size_t count = section.regions.size();
  MmfMoments moments{std::vector<Complex>(count), std::vector<Complex>(count)};
  for (std::size_t i = 0; i < count; ++i) {
    const Region& region = section.regions[i];
    const bool magnet = region.magnetisation.pattern != Magnetisation::Pattern::none;
    if (region.branch < 0 && !magnet) continue;
    const double strength = magnet_strength(field, static_cast<int>(i));
    double area = 0;
    along_outline(section, region, [&](Point at, double twice_area) {
      const double angle = std::atan2(at.y, at.x);
      const Complex wave = std::polar(1.0, p * angle);
      area += 0.5 * twice_area;
      moments.per_ampere_turn[i] += 0.5 * twice_area * wave;
      if (magnet)
        moments.magnet[i] +=
            radial_magnetisation(region.magnetisation, strength, angle) * twice_area / std::hypot(at.x, at.y) * wave;
    });
    // Order p is admitted by every sector, so the copies add in phase.
    if (area > 0) moments.per_ampere_turn[i] *= Complex(0, -section.sectors / (p * pi * area));
    moments.magnet[i] *= section.sectors / pi;
  }
  return moments;
}

MmfVectors mmf_vectors(const Section& section, const MmfMoments& moments, const Excitation& excitation) {
  Complex sum[2] = {0, 0};
  for (std::size_t i = 0; i < section.regions.size(); ++i) {
    const Region& region = section.regions[i];
    Complex& side = sum[static_cast<int>(region.side)];
    side += excitation.magnets * moments.magnet[i];
    if (region.branch < 0 || region.branch >= static_cast<int>(excitation.currents.size())) continue;
    side += region.turns * excitation.currents[region.branch] * moments.per_ampere_turn[i];
  }
  return {sum[0], sum[1] * std::polar(1.0, section.pole_pairs * excitation.rotor_angle)};
}

TorqueAngle torque_angle(const MmfVectors& mmf, int pole_pairs, double rotor_angle) {
  const double stator = std::abs(mmf.stator), rotor = std::abs(mmf.rotor);
  TorqueAngle result;
  // Round-off of the moments leaves some 1e-16 of the other side's MMF on a rotor that carries none.
  result.from_d_axis = rotor <= 1e-9 * stator;
  const double reference = result.from_d_axis ? pole_pairs * rotor_angle : std::arg(mmf.rotor);
  if (stator > 0) result.angle = wrapped(std::arg(mmf.stator) - reference);
  return result;
}

GapFluxVectors gap_flux_vectors(StaticField& field, const StaticSolution& state, const Excitation& excitation) {
  const Section& section = field.section();
  const std::vector<StaticSolution> parts =
      field.solve_frozen(state, {only(excitation, section, Side::stator), only(excitation, section, Side::rotor)});
  const int p = section.pole_pairs;
  const double scale = 2 * state.gap.mean_radius() * section.length / p;
  return {scale * fundamental_radial(parts[0].gap, p), scale * fundamental_radial(parts[1].gap, p),
          scale * fundamental_radial(state.gap, p)};
}

double uniform_gap_torque(const MmfVectors& mmf, double epsilon, int pole_pairs, double radius, double length,
                          double gap) {
  return pole_pairs * pi * mu0 * radius * length / gap * std::abs(mmf.stator) * std::abs(mmf.rotor) * std::sin(epsilon);
}

double equivalent_gap(double mmf, double flux, int pole_pairs, double radius, double length) {
  const double b = flux * pole_pairs / (2 * radius * length);
  return mu0 * mmf / b;
}

}  // namespace polepitch
