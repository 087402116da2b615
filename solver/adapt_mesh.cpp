#include "solver/adapt_mesh.h"

#include <algorithm>
#include <cmath>
#include <map>
#include <optional>

#include "geometry/mesh_limits.h"
#include "geometry/size_field.h"
#include "solver/carry_over.h"
#include "solver/element_tables.h"
#include "solver/flux_recovery.h"

namespace polepitch {
namespace {

// A triangle's share of the energy error goes with the sixth power of its edge: two factors h² of the flux density's
// error, h² of the area. Equal shares are the fewest triangles for a given error.
constexpr double kShareOrder = 6;
constexpr double kShortest = 0.25, kLongest = 4;  // of an edge from one mesh to the next
// Edge length per distance: the built-in sizes grow by 0.3; a mesh that knows where its error is may grow much faster
// (docs/performance.md).
constexpr double kGrowth = 1;

/// What is watched of one state.
struct Watched {
  double torque = 0;
  std::vector<double> linkages;
  double gap_torque = 0;
};

/// What is watched of a mesh.
struct Watch {
  std::vector<Watched> states;
  std::vector<double> beside;
};

struct SolvedMesh {
  std::vector<StaticSolution> solutions;
  Watch watched;
  std::vector<double> share;  // of each triangle, relative error of everything watched
};

/// Largest torque and linkages of the states, of phases and field winding: a bar's linkage is nobody's result.
struct Scales {
  double torque = 0;
  std::map<BranchKind, double> linkage;
};

Scales scales_of(const Section& section, double torque, const std::vector<Watched>& watched) {
  Scales scales{torque, {}};
  for (const Watched& w : watched) {
    if (torque <= 0) scales.torque = std::max(scales.torque, std::abs(w.torque));
    for (size_t b = 0; b < w.linkages.size(); ++b)
      if (const BranchKind kind = section.branches[b].kind; kind == BranchKind::phase || kind == BranchKind::field)
        scales.linkage[kind] = std::max(scales.linkage[kind], std::abs(w.linkages[b]));
  }
  return scales;
}

/// Adds each triangle's part of a field's energy error, over the field's energy ∫ ν B² dA. The field is the state
/// itself, or a linear one in the state's frozen iron.
void add_shares(const StaticField& field, const FluxRecovery& recovery, const StaticSolution& state,
                const StaticSolution& solution, std::vector<double>& share) {
  const Mesh& mesh = field.mesh();
  const FluxDefect defect = recovery.defect(solution.a);
  const bool own = &state == &solution;
  std::vector<double> error(share.size(), 0.0);
  double energy = 0;
  for (size_t e = 0; e < share.size(); ++e) {
    const int triangle = static_cast<int>(e);
    for (size_t q = 0; q < kTriangleRule.size(); ++q) {
      const Barycentric at = kTriangleRule[q].at;
      const StaticField::Vector b = field.flux_density(solution, triangle, at.l1, at.l2);
      const StaticField::Vector iron = own ? b : field.flux_density(state, triangle, at.l1, at.l2);
      double nu, slope;
      field.curve(mesh.region[e]).reluctivity(iron.x * iron.x + iron.y * iron.y, nu, slope);
      const double weight = kTriangleRule[q].weight * element_point(mesh, triangle, at).jacobian;
      const Point d = defect[e][q];
      const double along = own ? b.x * d.x + b.y * d.y : 0;
      energy += weight * nu * (b.x * b.x + b.y * b.y);
      // The tangent's form, not the secant's: in saturated iron an error along B weighs far more than ν says.
      error[e] += weight * (nu * (d.x * d.x + d.y * d.y) + 2 * slope * along * along);
    }
  }
  if (energy <= 0) return;
  for (size_t e = 0; e < share.size(); ++e) share[e] += error[e] / energy;
}

/// One ampere in the phases along the rotor's d axis, and along its q axis; none without phases.
std::vector<Excitation> unit_currents(const Section& section, double rotor_angle) {
  std::vector<size_t> phases;
  for (size_t b = 0; b < section.branches.size(); ++b)
    if (section.branches[b].kind == BranchKind::phase) phases.push_back(b);
  std::vector<Excitation> units;
  for (const double axis : {0.0, 0.5 * pi}) {
    Excitation unit{std::vector<double>(section.branches.size(), 0.0), rotor_angle, 0};
    for (size_t k = 0; k < phases.size(); ++k)
      unit.currents[phases[k]] = std::cos(section.pole_pairs * rotor_angle + axis -
                                          2 * pi * static_cast<double>(k) / static_cast<double>(phases.size()));
    if (!phases.empty()) units.push_back(std::move(unit));
  }
  return units;
}

/// r · ∮ B_r²/(2μ0) r dθ over the length [N m]: what the gap field's stresses, of which torque is the balance, amount
/// to.
double gap_torque(const GapField& gap, double length) {
  const double r = gap.mean_radius();
  double square = 0;  // mean of B_r²
  for (const GapField::FluxOrder& order : gap.spectrum(r)) square += 0.5 * std::norm(order.radial);
  return pi * r * r * length * square / mu0;
}

SolvedMesh solve_states(const Section& section, const Mesh& mesh, const Materials& materials,
                        const SolverOptions& options, const AdaptRequest& request,
                        const std::vector<StaticSolution>& starts, bool shares = true) {
  StaticField field(section, mesh, materials, options);
  const std::optional<FluxRecovery> recovery = shares ? std::optional<FluxRecovery>(mesh) : std::nullopt;
  SolvedMesh solved;
  solved.share.assign(mesh.triangles.size(), 0.0);
  for (size_t i = 0; i < request.states.size(); ++i) {
    const StaticSolution* start = i < starts.size() ? &starts[i] : i > 0 ? &solved.solutions.back() : nullptr;
    solved.solutions.push_back(field.solve(request.states[i], start));
    const StaticSolution& solution = solved.solutions.back();
    solved.watched.states.push_back(
        {field.torque(solution), field.linkages(solution), gap_torque(solution.gap, section.length)});
    if (!recovery) continue;
    add_shares(field, *recovery, solution, solution, solved.share);
    const std::vector<Excitation> units = unit_currents(section, request.states[i].rotor_angle);
    if (units.empty()) continue;
    for (const StaticSolution& unit : field.solve_frozen(solution, units))
      add_shares(field, *recovery, solution, unit, solved.share);
  }
  if (request.beside) solved.watched.beside = request.beside(mesh, solved.share);
  return solved;
}

/// How much longer each triangle's edges may be, before limits: 1 where its share is the mean.
std::vector<double> wanted_factors(const std::vector<double>& share) {
  double mean = 0;
  for (double s : share) mean += s / static_cast<double>(share.size());
  std::vector<double> factor(share.size(), 1.0);
  if (mean > 0)
    for (size_t e = 0; e < share.size(); ++e)
      factor[e] = std::pow(mean / std::max(share[e], 1e-12 * mean), 1 / kShareOrder);
  return factor;
}

double expected_count(const Mesh& mesh, const WantedSizes& wanted) {
  double count = 0;
  for (size_t e = 0; e < mesh.triangles.size(); ++e) {
    const auto& t = mesh.triangles[e];
    const double size = std::cbrt(wanted.at_node[t[0]] * wanted.at_node[t[1]] * wanted.at_node[t[2]]);
    count += std::pow(edge_length(mesh, static_cast<int>(e)) / size, 2);
  }
  return count;
}

/// The next mesh: equal shares, request.growth times the triangles. `surplus` is what the mesher made over the count
/// that was expected last time (thin parts force triangles that nobody asked for).
Mesh next_mesh(const Section& section, const Mesh& mesh, const std::vector<double>& share, double growth,
               double& surplus) {
  const std::vector<double> factor = wanted_factors(share);
  const double target = growth * static_cast<double>(share.size()) / surplus;
  double scale = 1, count = 0;
  std::vector<double> scaled(factor.size());
  WantedSizes wanted;
  // Limits and growth change the count: the scale that gives it is found by repetition.
  for (int turn = 0; turn < 6; ++turn) {
    for (size_t e = 0; e < factor.size(); ++e) scaled[e] = std::clamp(scale * factor[e], kShortest, kLongest);
    wanted = wanted_sizes(mesh, scaled, kGrowth);
    count = expected_count(mesh, wanted);
    scale *= std::sqrt(count / target);
  }
  Mesh next = mesh_section(section, {.adapted = &wanted});
  surplus = std::clamp(static_cast<double>(next.triangles.size()) / count, 1.0, 2.0);
  return next;
}

double root_mean_square(const std::vector<double>& v) {
  double sum = 0;
  for (double x : v) sum += x * x;
  return v.empty() ? 0 : std::sqrt(sum / static_cast<double>(v.size()));
}

AdaptStep compare(const Section& section, double torque_scale, const Watch& before, const Watch& now,
                  double triangles_per_pole, double factor) {
  const std::vector<Watched>&coarse = before.states, &fine = now.states;
  const Scales scales = scales_of(section, torque_scale, fine);
  std::vector<double> torque, linkage, beside;
  for (size_t i = 0; i < fine.size(); ++i) {
    if (scales.torque > 0) torque.push_back((coarse[i].torque - fine[i].torque) / scales.torque);
    for (size_t b = 0; b < fine[i].linkages.size(); ++b)
      if (const auto scale = scales.linkage.find(section.branches[b].kind);
          scale != scales.linkage.end() && scale->second > 0)
        linkage.push_back((coarse[i].linkages[b] - fine[i].linkages[b]) / scale->second);
  }
  for (size_t k = 0; k < now.beside.size(); ++k) beside.push_back(now.beside[k] - before.beside[k]);
  double pull = 0;
  for (const Watched& state : fine) pull = std::max(pull, state.gap_torque);
  return {triangles_per_pole, factor * root_mean_square(torque), factor * root_mean_square(linkage),
          factor * root_mean_square(beside), pull};
}

}  // namespace

double error_factor(const Mesh& mesh, const Mesh& coarser, double rate) {
  constexpr double kSafety = 1.2;
  const double ratio = static_cast<double>(mesh.triangles.size()) / static_cast<double>(coarser.triangles.size());
  return kSafety / (std::pow(std::max(ratio, 1.1), rate) - 1);
}

AdaptStep compare_meshes(const Section& section, const Materials& materials, const SolverOptions& options,
                         const AdaptRequest& request, const Mesh& mesh, const Mesh& coarser, double factor,
                         std::vector<StaticSolution>* fields) {
  const bool warm = fields != nullptr && fields->size() == request.states.size();
  const SolvedMesh before = solve_states(section, coarser, materials, options, request,
                                         warm ? *fields : std::vector<StaticSolution>{}, false);
  if (fields != nullptr) *fields = before.solutions;
  const CarryOver carry(section, coarser, mesh);
  std::vector<StaticSolution> starts = before.solutions;
  for (StaticSolution& start : starts) start.a = carry(start.a);
  const SolvedMesh now = solve_states(section, mesh, materials, options, request, starts, false);
  return compare(section, request.torque_scale, before.watched, now.watched,
                 mesh.triangles_per_pole(section.pole_pairs), factor);
}

namespace {

/// A mesh of the sequence with what was watched on it.
struct Former {
  Mesh mesh;
  Watch watched;
};

/// The finest former mesh that is clearly coarser, or the last one.
size_t companion(const std::vector<Former>& former, const Mesh& mesh) {
  constexpr double kClearly = 0.62;
  for (size_t k = former.size(); k-- > 1;)
    if (static_cast<double>(former[k].mesh.triangles.size()) <= kClearly * static_cast<double>(mesh.triangles.size()))
      return k;
  return former.size() > 1 ? former.size() - 1 : 0;
}

/// Triangles of the next mesh over this one's: what the accuracy needs if the error falls with their square.
double next_growth(const AdaptRequest& request, const AdaptStep& last) {
  const double error = std::max({last.torque_error, last.linkage_error, last.beside_error});
  return std::clamp(1.1 * std::sqrt(error / request.accuracy), request.growth, 1.4 * request.growth);
}

}  // namespace

AdaptedMeshes adapt_mesh(const Section& section, const Materials& materials, const SolverOptions& options,
                         const AdaptRequest& request) {
  AdaptedMeshes result;
  result.mesh = limit_edges(section, mesh_section(section, {.density = request.start_density}), request.largest_edges);
  if (request.visit) request.visit(result.mesh);
  SolvedMesh solved = solve_states(section, result.mesh, materials, options, request, {});
  result.steps.push_back({result.mesh.triangles_per_pole(section.pole_pairs)});
  std::vector<Former> former;
  double surplus = 1.3, growth = request.growth;  // the surplus as measured on the ready cases
  size_t coarser = 0;
  while (!result.reached) {
    Mesh next =
        limit_edges(section, next_mesh(section, result.mesh, solved.share, growth, surplus), request.largest_edges);
    const double count = next.triangles_per_pole(section.pole_pairs);
    if (count > request.most_triangles_per_pole && !former.empty()) break;
    if (request.visit) request.visit(next);
    const CarryOver carry(section, result.mesh, next);
    std::vector<StaticSolution> starts = std::move(solved.solutions);
    for (StaticSolution& start : starts) start.a = carry(start.a);
    SolvedMesh now = solve_states(section, next, materials, options, request, starts);
    former.push_back({std::move(result.mesh), std::move(solved.watched)});
    result.mesh = std::move(next);
    solved = std::move(now);
    coarser = companion(former, result.mesh);
    const double factor = error_factor(result.mesh, former[coarser].mesh, kAdaptedRate);
    result.steps.push_back(
        compare(section, request.torque_scale, former[coarser].watched, solved.watched, count, factor));
    const AdaptStep& last = result.steps.back();
    result.reached = std::max({last.torque_error, last.linkage_error, last.beside_error}) <= request.accuracy;
    growth = next_growth(request, last);
  }
  result.coarser = std::move(former[coarser].mesh);
  return result;
}

}  // namespace polepitch
