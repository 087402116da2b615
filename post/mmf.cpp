#include "post/mmf.h"

#include <cmath>

#include "post/area_points.h"
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

/// The radial component of ν B_rem at a point [A/m].
double radial_magnetisation(const Magnetisation& magnet, double strength, const Point& p) {
  switch (magnet.pattern) {
    case Magnetisation::Pattern::radial:
      return magnet.sign * strength;
    case Magnetisation::Pattern::parallel:
      return strength * std::cos(magnet.direction - std::atan2(p.y, p.x));
    case Magnetisation::Pattern::none:
      break;
  }
  return 0;
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

MmfMoments mmf_moments(const StaticField& field) {
  const Section& section = field.section();
  const Mesh& mesh = field.mesh();
  const int p = section.pole_pairs;
  const std::size_t count = section.regions.size();
  MmfMoments moments{std::vector<Complex>(count), std::vector<Complex>(count)};
  std::vector<double> area(count), strength(count);
  for (std::size_t i = 0; i < count; ++i) strength[i] = magnet_strength(field, static_cast<int>(i));
  for (std::size_t t = 0; t < mesh.triangles.size(); ++t) {
    const int i = mesh.region[t];
    const Region& region = section.regions[i];
    const bool magnet = region.magnetisation.pattern != Magnetisation::Pattern::none;
    if (region.branch < 0 && !magnet) continue;
    for (const AreaPoint& e : area_points(mesh, static_cast<int>(t))) {
      const double r = std::hypot(e.point.x, e.point.y);
      const Complex wave = std::polar(e.area, p * std::atan2(e.point.y, e.point.x));
      moments.per_ampere_turn[i] += wave;
      area[i] += e.area;
      if (magnet) {
        moments.magnet[i] += radial_magnetisation(region.magnetisation, strength[i], e.point) / r * wave;
      }
    }
  }
  // Order p is admitted by every sector, so the copies add in phase.
  for (std::size_t i = 0; i < count; ++i) {
    if (area[i] > 0) moments.per_ampere_turn[i] *= Complex(0, -section.sectors / (p * pi * area[i]));
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
