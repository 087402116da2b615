#include "post/iron_loss.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <map>

#include "geometry/error.h"
#include "solver/bh_curve.h"
#include "solver/element_tables.h"

namespace polepitch {
namespace {

// Mean over a period of |2π cos|^1.5 = (2π)^1.5 Γ(5/4)/(√π Γ(7/4)).
const double kExcess = std::pow(2 * pi, 1.5) * std::tgamma(1.25) / (std::sqrt(pi) * std::tgamma(1.75));

/// dB/dt of the trigonometric interpolation at the samples, over the frequency.
class Derivative {
 public:
  explicit Derivative(size_t count) : kernel_(count, 0.0) {
    // Σ_n 2πn sin(2πnk/N)·(−2/N): the sum in closed form is the periodic cardinal function's derivative.
    const double n = static_cast<double>(count);
    for (size_t k = 1; k < count; ++k) {
      const double x = pi * static_cast<double>(k) / n, sign = k % 2 ? -1 : 1;
      kernel_[k] = pi * sign * (count % 2 ? 1 / std::sin(x) : 1 / std::tan(x));
    }
  }
  double at(std::span<const double> b, size_t i) const {
    double sum = 0;
    const size_t n = b.size();
    for (size_t k = 1; k < n; ++k) sum += kernel_[k] * b[(i + n - k) % n];
    return sum;
  }

 private:
  std::vector<double> kernel_;
};

const Derivative& derivative(size_t count) {
  thread_local std::map<size_t, Derivative> known;
  return known.try_emplace(count, count).first->second;
}

double mean_of(std::span<const double> values) {
  double sum = 0;
  for (double v : values) sum += v;
  return sum / static_cast<double>(values.size());
}

/// Components along the principal axes of the locus.
std::array<std::vector<double>, 2> principal(std::span<const double> bx, std::span<const double> by) {
  const double mx = mean_of(bx), my = mean_of(by);
  double xx = 0, xy = 0, yy = 0;
  for (size_t i = 0; i < bx.size(); ++i) {
    xx += (bx[i] - mx) * (bx[i] - mx);
    xy += (bx[i] - mx) * (by[i] - my);
    yy += (by[i] - my) * (by[i] - my);
  }
  const double angle = 0.5 * std::atan2(2 * xy, xx - yy), c = std::cos(angle), s = std::sin(angle);
  std::array<std::vector<double>, 2> parts{std::vector<double>(bx.size()), std::vector<double>(bx.size())};
  for (size_t i = 0; i < bx.size(); ++i) {
    parts[0][i] = c * bx[i] + s * by[i];
    parts[1][i] = -s * bx[i] + c * by[i];
  }
  return parts;
}

double straight_area(const Mesh& mesh, size_t triangle) {
  const auto& t = mesh.triangles[triangle];
  const Point &a = mesh.nodes[t[0]], &b = mesh.nodes[t[1]], &c = mesh.nodes[t[2]];
  return 0.5 * ((b.x - a.x) * (c.y - a.y) - (c.x - a.x) * (b.y - a.y));
}

/// Of each region, what its triangles' straight sides enclose.
std::vector<double> straight_areas(const Mesh& mesh, size_t regions) {
  std::vector<double> areas(regions, 0.0);
  for (size_t t = 0; t < mesh.triangles.size(); ++t)
    areas[static_cast<size_t>(mesh.region[t])] += straight_area(mesh, t);
  return areas;
}

int poles_of_sector(const Section& section) {
  return std::max(1, 2 * section.pole_pairs / section.sectors);
}

// Barycentric points of a rule that is exact for polynomials of second degree, equal weights.
constexpr double kPoints[3][2] = {{1.0 / 6, 1.0 / 6}, {2.0 / 3, 1.0 / 6}, {1.0 / 6, 2.0 / 3}};

/// B = (∂A/∂y, −∂A/∂x) as phasors.
std::array<std::complex<double>, 2> flux_phasor(const Mesh& mesh, const std::vector<std::complex<double>>& a,
                                                int triangle, Barycentric at) {
  const ElementPoint p = element_point(mesh, triangle, at);
  std::complex<double> bx = 0, by = 0;
  for (int i = 0; i < (mesh.order == 2 ? 6 : 3); ++i) {
    const std::complex<double> value = a[mesh.triangles[static_cast<size_t>(triangle)][static_cast<size_t>(i)]];
    bx += p.dy[i] * value;
    by -= p.dx[i] * value;
  }
  return {bx, by};
}

}  // namespace

IronLossParts IronLossParts::at_speed(double ratio) const {
  return {hysteresis * ratio, classical * ratio * ratio, excess * std::pow(ratio, 1.5)};
}

void IronLossParts::add(const IronLossParts& more, double times) {
  hysteresis += times * more.hysteresis;
  classical += times * more.classical;
  excess += times * more.excess;
}

std::vector<double> closed_loops(std::span<const double> samples) {
  // From the largest sample round to it again: every loop closes.
  const auto top = static_cast<size_t>(std::max_element(samples.begin(), samples.end()) - samples.begin());
  std::vector<double> stack, loops;
  for (size_t i = 0; i <= samples.size(); ++i) {
    const double value = samples[(top + i) % samples.size()];
    while (stack.size() >= 2 && (stack.back() - stack[stack.size() - 2]) * (value - stack.back()) >= 0)
      stack.pop_back();  // on in the same direction: no reversal
    stack.push_back(value);
    while (stack.size() >= 4) {
      const size_t n = stack.size();
      const double inner = std::abs(stack[n - 2] - stack[n - 3]);
      if (inner > std::abs(stack[n - 1] - stack[n - 2]) || inner > std::abs(stack[n - 3] - stack[n - 4])) break;
      if (inner > 0) loops.push_back(0.5 * inner);
      stack.erase(stack.end() - 3, stack.end() - 1);
    }
  }
  if (stack.size() >= 2 && stack[0] != stack[1]) loops.push_back(0.5 * std::abs(stack[0] - stack[1]));
  std::sort(loops.rbegin(), loops.rend());
  return loops;
}

IronLossParts specific_iron_loss(std::span<const double> bx, std::span<const double> by, double frequency,
                                 const IronLossCoefficients& k) {
  IronLossParts loss;
  const size_t n = bx.size();
  const Derivative& slope = derivative(n);
  for (size_t i = 0; i < n; ++i) {
    const double square = std::pow(slope.at(bx, i), 2) + std::pow(slope.at(by, i), 2);
    loss.classical += square;
    loss.excess += std::pow(square, 0.75);
  }
  const double share = 1 / static_cast<double>(n);
  loss.classical *= share * k.classical / (2 * pi * pi);
  loss.excess *= share * k.excess / kExcess;
  for (const std::vector<double>& component : principal(bx, by))
    for (double half_width : closed_loops(component))
      loss.hysteresis += k.hysteresis * std::pow(half_width, k.exponent);
  return loss.at_speed(frequency);
}

std::string core_without_loss(const Section& section, const Materials& materials) {
  for (const Region& region : section.regions)
    if (region.role == Role::core && !materials.at(region.material).iron_loss) return region.material;
  return "";
}

std::vector<IronPlace> iron_places(const Section& section, const Mesh& mesh, const Materials& materials) {
  if (const std::string name = core_without_loss(section, materials); !name.empty())
    throw InputError("the material \"" + name + "\" of a core states no coefficients of iron loss",
                     "add a table [iron_loss] to its file " + name + ".toml, or leave the iron loss out");
  std::vector<IronPlace> places;
  const std::vector<double> areas = straight_areas(mesh, section.regions.size());
  for (size_t t = 0; t < mesh.triangles.size(); ++t) {
    const auto r = static_cast<size_t>(mesh.region[t]);
    const Region& region = section.regions[r];
    if (region.role != Role::core) continue;
    const Material& material = materials.at(region.material);
    const double area = straight_area(mesh, t) * region.area / areas[r];
    const double volume = area * section.length * section.sectors * section.stacking_factor;
    places.push_back(
        {static_cast<int>(t), region.side, volume * material.density, section.stacking_factor, *material.iron_loss});
  }
  return places;
}

IronLoss harmonic_iron_loss(const Section& section, const Mesh& mesh, const Materials& materials,
                            const std::vector<std::complex<double>>& a, double stator_frequency,
                            double rotor_frequency) {
  constexpr size_t instants = 32;  // the excess term's mean over them is good to 1e-4 on any ellipse
  IronLoss loss;
  std::vector<double> x(instants), y(instants);
  std::map<std::string, BhCurve> curves;
  for (const IronPlace& place : iron_places(section, mesh, materials)) {
    const std::string& name =
        section.regions[static_cast<size_t>(mesh.region[static_cast<size_t>(place.triangle)])].material;
    if (!curves.contains(name)) curves.emplace(name, materials.at(name).curve(place.stacking));
    const BhCurve& curve = curves.at(name);
    const bool stator = place.side == Side::stator;
    for (const auto& [l1, l2] : kPoints) {
      const auto b = flux_phasor(mesh, a, place.triangle, {l1, l2});
      for (size_t i = 0; i < instants; ++i) {
        const std::complex<double> turn = std::polar(1.0, 2 * pi * static_cast<double>(i) / instants);
        const double bx = std::real(b[0] * turn), by = std::real(b[1] * turn), square = bx * bx + by * by;
        double nu = 0, slope = 0;
        curve.reluctivity(square, nu, slope);
        const double lamination = (1 - (1 - place.stacking) * mu0 * nu) / place.stacking;
        x[i] = lamination * bx;
        y[i] = lamination * by;
      }
      (stator ? loss.stator : loss.rotor)
          .add(specific_iron_loss(x, y, std::abs(stator ? stator_frequency : rotor_frequency), place.coefficients),
               place.mass / 3);
    }
  }
  return loss;
}

IronLossRecord::IronLossRecord(const StaticField& field, const Materials& materials, int per_half_period)
    : per_half_(per_half_period),
      halves_(poles_of_sector(field.section())),
      places_(iron_places(field.section(), field.mesh(), materials)) {
  bx_.resize(static_cast<size_t>(positions()) * places_.size() * 3);
  by_.resize(bx_.size());
}

double IronLossRecord::step(const Section& section) const {
  return pi / (section.pole_pairs * per_half_);
}

void IronLossRecord::add(int position, const StaticField& field, const StaticSolution& solution) {
  size_t at = static_cast<size_t>(position) * places_.size() * 3;
  for (const IronPlace& place : places_)
    for (const auto& [l1, l2] : kPoints) {
      const StaticField::Vector b = field.flux_density(solution, place.triangle, l1, l2);
      const StaticField::Vector h = field.field_strength(solution, place.triangle, l1, l2);
      const double between = (1 - place.stacking) * mu0;  // of the varnish between the sheets: B = k B_lam + (1−k) μ0 H
      bx_[at] = static_cast<float>((b.x - between * h.x) / place.stacking);
      by_[at++] = static_cast<float>((b.y - between * h.y) / place.stacking);
    }
}

IronLossParts IronLossRecord::of_place(size_t place, double frequency) const {
  const size_t stride = places_.size() * 3;
  const bool stator = places_[place].side == Side::stator;
  // The stator's period is two half periods, of which one stands for both where the sector is one pole; the rotor's is
  // the whole record.
  const bool mirrored = stator && halves_ == 1;
  const int count = stator ? 2 * per_half_ : positions();
  const double own_frequency = stator ? frequency : 2 * frequency / halves_;
  IronLossParts sum;
  std::vector<double> x(static_cast<size_t>(count)), y(x.size());
  for (size_t point = 0; point < 3; ++point) {
    for (int i = 0; i < count; ++i) {
      const bool second = mirrored && i >= per_half_;
      const size_t at = static_cast<size_t>(second ? i - per_half_ : i) * stride + 3 * place + point;
      x[static_cast<size_t>(i)] = second ? -bx_[at] : bx_[at];
      y[static_cast<size_t>(i)] = second ? -by_[at] : by_[at];
    }
    sum.add(specific_iron_loss(x, y, own_frequency, places_[place].coefficients), 1.0 / 3);
  }
  return sum;
}

IronLoss IronLossRecord::loss(double frequency) const {
  IronLoss loss;
  for (size_t i = 0; i < places_.size(); ++i)
    (places_[i].side == Side::stator ? loss.stator : loss.rotor).add(of_place(i, frequency), places_[i].mass);
  return loss;
}

}  // namespace polepitch
