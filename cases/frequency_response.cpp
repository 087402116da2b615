#include "cases/frequency_response.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <map>

#include "cases/adaption.h"
#include "cases/study_tools.h"
#include "cases/sweep.h"
#include "geometry/size_field.h"
#include "post/dq.h"
#include "post/reactances.h"
#include "solver/standstill_error.h"

namespace polepitch {
namespace {

using Complex = std::complex<double>;

std::vector<std::vector<double>> axis_sources(const Section& section, double angle) {
  std::vector<std::vector<double>> sources = {dq_excitation(section, {1, 0, 0}, 0, angle).currents,
                                              dq_excitation(section, {0, 1, 0}, 0, angle).currents};
  if (field_branch(section) >= 0) sources.push_back(dq_excitation(section, {}, 1, angle).currents);
  return sources;
}

StandstillRequest standstill(const Section& section, const ResponseRequest& r, double angle) {
  return {axis_sources(section, angle), r.conductivity, r.omega.front(), std::max(r.omega.back(), 2 * r.rated_omega)};
}

void add(OperationalInductances& sum, const OperationalInductances& l, double share) {
  for (auto entry : {&OperationalInductances::d, &OperationalInductances::q, &OperationalInductances::d_open,
                     &OperationalInductances::dq, &OperationalInductances::af, &OperationalInductances::g})
    sum.*entry += share * (l.*entry);
}

/// About no field: nothing but the angle.
StaticSolution at_rest(double angle) {
  StaticSolution state;
  state.rotor_angle = angle;
  return state;
}

std::string part_name(const Region& region) {
  if (region.role == Role::bar) return "damper bars";
  if (region.role == Role::wedge) return "rotor wedges";
  return region.name;
}

/// Loss of each triangle over the apparent power, for currents of one axis at the highest frequency.
std::vector<double> skin_losses(const StandstillField& field, const StandstillModes& modes, const ResponseRequest& r,
                                bool d) {
  const double omega = r.omega.back();
  const StandstillInputs inputs = standstill_inputs(modes, r.circuit, {0, omega});
  const OperationalInductances l = operational_inductances(modes, r.circuit, {0, omega});
  const std::vector<Complex>& input = d ? inputs.d : inputs.q;
  std::vector<double> losses = field.losses(modes, field.potential(modes, {0, omega}, input), omega, r.conductivity,
                                            StandstillInputs::gradient(input, modes.sources()));
  const double apparent = 0.5 * r.circuit.phases / 2.0 * omega * std::abs(d ? l.d : l.q);
  for (double& loss : losses) loss /= apparent;
  return losses;
}

/// Raises the shares of triangles that are longer than the skin allows where the loss at the highest frequency is. In a
/// skin the fields fall with e^{−x/δ}, and a second-order triangle's share of the error with h⁶ e^{−2x/δ}, as the loss
/// density p does: equal shares want h ~ p^{−1/6}, and kSkinEdge δ where p is its mean by loss. Returns what L may miss
/// by the skin: the loss over the apparent power times the logarithm of how far the mesh is from that as a mean by
/// loss.
double add_skin_shares(const StaticField& still, const StandstillField& field, const StandstillModes& modes,
                       const StaticSolution& state, const ResponseRequest& r, std::vector<double>& share) {
  constexpr double kNoticed = 0.01, kLongest = 4;
  const Mesh& mesh = still.mesh();
  const std::vector<double> depths = skin_depths(still, state, r.conductivity, r.omega.back());
  const std::vector<double> d = skin_losses(field, modes, r, true), q = skin_losses(field, modes, r, false);
  double whole = 0, density = 0, resolved = 0, mean = 0;
  for (size_t e = 0; e < share.size(); ++e) {
    const double edge = edge_length(mesh, static_cast<int>(e)), loss = d[e] + q[e];
    whole += loss;
    density += loss * loss / (edge * edge);
    resolved += loss * std::min(1.0, kSkinEdge * depths[e] / edge);
    mean += share[e] / static_cast<double>(share.size());
  }
  if (whole < kNoticed) return 0;
  density /= whole;
  for (size_t e = 0; e < share.size(); ++e) {
    const double edge = edge_length(mesh, static_cast<int>(e)), here = (d[e] + q[e]) / (edge * edge);
    if (here <= 0) continue;
    const double wanted = kSkinEdge * depths[e] * std::max(1.0, std::pow(density / here, 1.0 / 6));
    if (edge > wanted) share[e] = std::max(share[e], mean * std::pow(std::min(edge / wanted, kLongest), 6));
  }
  return 0.5 * whole * std::log(resolved / whole);
}

/// Currents of both axes at the highest frequency: what each part loses, and how its skin is meshed.
std::vector<SolidPart> solid_parts(const StaticField& field, const StandstillField& standstill,
                                   const StandstillModes& modes, const StaticSolution& state,
                                   const ResponseRequest& r) {
  const Section& section = field.section();
  const Mesh& mesh = field.mesh();
  const double omega = r.omega.back();
  const std::vector<double> depths = skin_depths(field, state, r.conductivity, omega);
  std::vector<double> loss(section.regions.size(), 0.0), depth = loss, elements = loss, largest = loss;
  for (bool d : {true, false}) {
    const std::vector<double> losses = skin_losses(standstill, modes, r, d);
    std::vector<double> share(loss.size(), 0.0);
    for (size_t e = 0; e < losses.size(); ++e) {
      const int region = mesh.region[e];
      share[region] += losses[e];
      loss[region] += losses[e];
      depth[region] += losses[e] * depths[e];
      elements[region] += losses[e] * depths[e] / edge_length(mesh, static_cast<int>(e));
    }
    for (size_t k = 0; k < share.size(); ++k) largest[k] = std::max(largest[k], share[k]);
  }
  std::map<std::string, std::array<double, 4>> grouped;  // loss, depth, elements, largest
  for (size_t k = 0; k < loss.size(); ++k) {
    if (loss[k] <= 0) continue;
    std::array<double, 4>& sum = grouped[part_name(section.regions[k])];
    sum[0] += loss[k], sum[1] += depth[k], sum[2] += elements[k], sum[3] += largest[k];
  }
  std::vector<SolidPart> parts;
  for (const auto& [name, sum] : grouped) parts.push_back({name, sum[1] / sum[0], sum[2] / sum[0], sum[3]});
  return parts;
}

}  // namespace

Response solve_response(StudyContext& context, const ResponseRequest& r, double from, double to) {
  const Section& section = context.section;
  const auto count = static_cast<size_t>(r.load.positions);
  const double step = ripple_period(section) / r.load.positions, share = 1.0 / r.load.positions;
  std::vector<StaticSolution> states;
  for (size_t k = 0; k < count; ++k) states.push_back(at_rest(r.load.rotor_angle + static_cast<double>(k) * step));
  const double middle = from + (r.loaded ? 0.4 : 0.0) * (to - from);
  if (r.loaded)
    sweep(
        context, mean_positions(section, r.load), [&](const SolvedPoint& p) { states[p.index] = p.solution; }, from,
        middle);
  StandstillField field(section, context.mesh, context.kase.materials, solver_options(context.kase));
  StaticField& still = context.fields.of(0);
  Response response;
  response.mean.resize(r.omega.size());
  for (size_t k = 0; k < count; ++k) {
    const StandstillModes modes = field.solve(states[k], standstill(section, r, states[k].rotor_angle));
    response.change = std::max(response.change, modes.change);
    response.factorisations += modes.factorisations;
    std::vector<OperationalInductances>& here = response.positions.emplace_back();
    for (size_t i = 0; i < r.omega.size(); ++i) {
      here.push_back(operational_inductances(modes, r.circuit, {0, r.omega[i]}));
      add(response.mean[i], here.back(), share);
    }
    response.direct_positions.push_back(operational_inductances(modes, r.circuit, 0.0));
    add(response.direct, response.direct_positions.back(), share);
    add(response.twice, operational_inductances(modes, r.circuit, {0, 2 * r.rated_omega}), share);
    if (k == 0) response.parts = solid_parts(still, field, modes, states[k], r);
    StaticSolution state = states[k];
    if (state.a.empty()) state.a.assign(context.mesh.nodes.size(), 0.0);
    const FrozenInductances frozen = frozen_inductances(still, state, r.circuit.end_winding);
    response.leakage += share * reactances(frozen, r.rated_omega, r.circuit.phases).l;
    context.progress(middle + (to - middle) * static_cast<double>(k + 1) * share);
  }
  if (r.leakage) response.leakage = *r.leakage;
  return response;
}

std::vector<double> response_beside(const Case& kase, const Section& section, const Block& study, const Mesh& mesh,
                                    std::vector<double>& share) {
  constexpr int kFrequencies = 5;
  std::vector<double> numbers;
  SolverOptions options = solver_options(kase);
  options.third_order = false;
  StaticField still(section, mesh, kase.materials, options);
  const FluxRecovery recovery(mesh);
  for (const ResponseRequest& r : read_response(kase, section, study)) {
    StandstillField field(section, mesh, kase.materials, solver_options(kase));
    const double angle = r.load.rotor_angle + 0.38 * ripple_period(section);
    const StaticSolution state = r.loaded ? still.solve(excite(section, r.load, angle)) : at_rest(angle);
    StandstillRequest request = standstill(section, r, angle);
    request.tolerance = 1e-3, request.most_levels = 2;
    const StandstillModes modes = field.solve(state, request);
    for (int k = 0; k < kFrequencies; ++k) {
      const double omega =
          r.omega.front() * std::pow(r.omega.back() / r.omega.front(), static_cast<double>(k) / (kFrequencies - 1));
      const OperationalInductances l = operational_inductances(modes, r.circuit, {0, omega});
      for (const Complex& number : {std::log(l.d), std::log(l.q)})  // differences are relative ones, and of phase
        for (double part : {number.real(), number.imag()}) numbers.push_back(part);
      const StandstillInputs inputs = standstill_inputs(modes, r.circuit, {0, omega});
      for (const std::vector<Complex>& input : {inputs.d, inputs.q})
        add_standstill_shares(still, recovery, state, field.potential(modes, {0, omega}, input), share);
    }
    numbers.push_back(add_skin_shares(still, field, modes, state, r, share));
  }
  return numbers;
}

}  // namespace polepitch
