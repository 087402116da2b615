// export_section CASE ELEMENTS…: the case's section, its steel replaced by one analytic law, solved at six rotor angles
// on a mesh of about ELEMENTS triangles a pole each. JSON on stdout, for peer.py to solve again with other means. SI.
#include <malloc.h>

#include <chrono>
#include <cmath>
#include <cstdio>
#include <ctime>
#include <exception>
#include <iostream>
#include <nlohmann/json.hpp>

#include "cases/case.h"
#include "cases/load.h"
#include "geometry/mesh.h"
#include "solver/sparse_cholesky.h"
#include "solver/static_field.h"

namespace polepitch {
namespace {

using nlohmann::json;

// ν = ν0 (α + (1 − α) s⁴/(s⁴ + τ)), s = B²: the analytic law of A. Marrocco's curves (R. Glowinski, A. Marrocco, CRAS A
// 278, 1974; from memory), the same for all steel. dB/dH stays above μ0 up to the end of the table.
constexpr double kAlpha = 3e-4;
constexpr double kTau = 1.6e4;  // T⁸
constexpr double kTableEnd = 2.6, kTableStep = 0.005;
constexpr int kAngles = 6;
constexpr double kFirst = 10 * pi / 180, kStep = 3 * pi / 180;  // electrical
constexpr int kRepeats = 3;

double law_h(double b) {
  const double s4 = std::pow(b, 8);
  return b / mu0 * (kAlpha + (1 - kAlpha) * s4 / (s4 + kTau));
}

void replace_steel(Materials& materials) {
  std::vector<double> b, h;
  for (int i = 0; i * kTableStep <= kTableEnd + 1e-9; ++i) {
    b.push_back(i * kTableStep);
    h.push_back(law_h(b.back()));
  }
  for (auto& [name, material] : materials)
    if (!material.b.empty()) material.b = b, material.h = h;
}

/// Largest |H − H_law| / H_law between the rows of the table that the solver interpolates.
double law_difference(const BhCurve& curve) {
  double largest = 0;
  for (double b = 0.05; b < kTableEnd; b += 0.37 * kTableStep)
    largest = std::max(largest, std::abs(curve.h(b) / law_h(b) - 1));
  return largest;
}

json of_side(const SideSection& s) {
  json points = json::array(), curves = json::array();
  for (const Point& p : s.points) points.push_back({p.x, p.y});
  for (const Curve& c : s.curves)
    curves.push_back({{"start", c.start}, {"end", c.end}, {"arc", c.arc}, {"centre", {c.centre.x, c.centre.y}}});
  return {{"points", points},           {"curves", curves},           {"start_angle", s.start_angle},
          {"gap_radius", s.gap_radius}, {"far_radius", s.far_radius}, {"gap_curves", s.gap_curves},
          {"far_curves", s.far_curves}, {"start_edge", s.start_edge}, {"end_edge", s.end_edge}};
}

json of_section(const Section& section, const StaticField& field) {
  json regions = json::array(), branches = json::array();
  for (size_t r = 0; r < section.regions.size(); ++r) {
    const Region& region = section.regions[r];
    double nu = 0, slope = 0;
    const BhCurve& curve = field.curve(static_cast<int>(r));
    curve.reluctivity(0, nu, slope);
    regions.push_back({{"name", region.name},
                       {"side", static_cast<int>(region.side)},
                       {"loops", region.loops},
                       {"area", region.area},
                       {"steel", !curve.linear()},
                       {"reluctivity", nu},
                       {"branch", region.branch},
                       {"turns", region.turns}});
  }
  for (const Branch& b : section.branches) branches.push_back(b.name);
  return {{"pole_pairs", section.pole_pairs},
          {"sectors", section.sectors},
          {"sign", section.sign},
          {"length", section.length},
          {"gap", section.gap()},
          {"bore_radius", section.stator_radius},
          {"rotor_radius", section.rotor_radius},
          {"sides", {of_side(section.sides[0]), of_side(section.sides[1])}},
          {"regions", regions},
          {"branches", branches}};
}

struct Stopwatch {
  std::chrono::steady_clock::time_point wall = std::chrono::steady_clock::now();
  std::clock_t cpu = std::clock();
  json read() const {
    const std::chrono::duration<double> passed = std::chrono::steady_clock::now() - wall;
    return {{"wall", passed.count()}, {"cpu", static_cast<double>(std::clock() - cpu) / CLOCKS_PER_SEC}};
  }
};

/// The mesh whose number of triangles a pole comes nearest to what is asked for.
Mesh mesh_of(const Section& section, double elements, double& density) {
  Mesh best;
  double nearest = 1e300, next = 0.7;
  for (int i = 0; i < 5; ++i) {
    Mesh mesh = mesh_section(section, {next});
    const double count = mesh.triangles_per_pole(section.pole_pairs);
    if (std::abs(count - elements) < nearest) {
      nearest = std::abs(count - elements);
      best = mesh;
      density = next;
    }
    next *= std::sqrt(elements / count);
  }
  return best;
}

json of_point(const StaticField& field, const StaticSolution& solution, const json& time) {
  return {{"energy", field.energy(solution)},   {"linkages", field.linkages(solution)},
          {"torque", field.torque(solution)},   {"steps", solution.newton_steps},
          {"factors", solution.factorisations}, {"time", time}};
}

/// Six angles in a row, each started from the one before; several times over, so that a median can be taken.
json run(const Section& section, const Materials& materials, const std::vector<Excitation>& points, double elements) {
  double density = 0;
  const Mesh mesh = mesh_of(section, elements, density);
  const Stopwatch meshing;
  mesh_section(section, {density});
  json out = {{"elements", mesh.triangles_per_pole(section.pole_pairs)}, {"mesh", meshing.read()}};
  const Stopwatch posing;
  StaticField field(section, mesh, materials);
  out["pose"] = posing.read();
  out["unknowns"] = field.unknowns();
  out["tolerance"] = SolverOptions{}.tolerance;
  for (int repeat = 0; repeat < kRepeats; ++repeat) {
    json chain = json::array();
    StaticSolution last;
    for (size_t k = 0; k < points.size(); ++k) {
      const Stopwatch solving;
      last = field.solve(points[k], k == 0 ? nullptr : &last);
      chain.push_back(of_point(field, last, solving.read()));
    }
    out["chains"].push_back(chain);
  }
  return out;
}

json compare(const std::string& path, const std::vector<double>& elements) {
  pin_blas_to_one_thread();
  mallopt(M_MMAP_THRESHOLD, 1 << 28);  // as the program does
  mallopt(M_TRIM_THRESHOLD, 1 << 30);
  Case kase = read_case(path);
  replace_steel(kase.materials);
  Section section = draw_section(kase.machine);
  section.stacking_factor = 1;  // one law for all steel
  const Load load = read_load(kase, section, kase.studies.at(0));
  std::vector<Excitation> points;
  json asked = json::array();
  for (int k = 0; k < kAngles; ++k) {
    points.push_back(excite(section, load, (kFirst + k * kStep) / section.pole_pairs));
    asked.push_back({{"angle", points.back().rotor_angle}, {"currents", points.back().currents}});
  }
  json out = {{"case", kase.title}, {"points", asked}, {"runs", json::array()}};
  for (double count : elements) out["runs"].push_back(run(section, kase.materials, points, count));
  const Mesh coarse = mesh_section(section, {0.4});
  const StaticField field(section, coarse, kase.materials);
  out["section"] = of_section(section, field);
  double difference = 0;
  for (size_t r = 0; r < section.regions.size(); ++r)
    if (const BhCurve& curve = field.curve(static_cast<int>(r)); !curve.linear())
      difference = std::max(difference, law_difference(curve));
  out["law"] = {{"alpha", kAlpha}, {"tau", kTau}, {"difference", difference}};
  return out;
}

}  // namespace
}  // namespace polepitch

int main(int count, char** words) {
  try {
    std::vector<double> elements;
    for (int i = 2; i < count; ++i) elements.push_back(std::stod(words[i]));
    if (elements.empty()) throw std::invalid_argument("usage: export_section CASE ELEMENTS...");
    std::cout << polepitch::compare(words[1], elements).dump() << '\n';
    return 0;
  } catch (const std::exception& e) {
    std::cerr << e.what() << '\n';
    return 1;
  }
}
