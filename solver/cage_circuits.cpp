#include "solver/cage_circuits.h"

#include <cmath>
#include <map>
#include <utility>

namespace polepitch {
namespace {

/// Bars in the order of their angle; those of common rings at one angle share a node.
void join_bars(const Section& section, const CageEnds& ends, CageCircuits& circuits) {
  std::map<std::pair<int, long>, std::vector<int>> nodes;  // by network and angle
  for (size_t bar = 0; bar < circuits.bars.size(); ++bar) {
    const Branch& branch = section.branches[static_cast<size_t>(circuits.bars[bar].branch)];
    circuits.overhang.push_back(branch.cage == 1 ? ends.outer_overhang : ends.overhang);
    nodes[{ends.separate_rings ? branch.cage : 0, std::lround(branch.angle * 1e9)}].push_back(static_cast<int>(bar));
  }
  int before = -1;
  for (const auto& [key, bars] : nodes) {
    if (key.first != before) circuits.networks.push_back({key.first == 1 ? ends.outer_ring : ends.ring, {}});
    before = key.first;
    circuits.networks.back().nodes.push_back(bars);
  }
}

void read_windings(const FieldSystem& system, CageCircuits& circuits) {
  const Section& section = system.section;
  for (size_t b = 0; b < section.branches.size(); ++b) {
    const BranchKind kind = section.branches[b].kind;
    if (kind != BranchKind::phase && kind != BranchKind::rotor_phase) continue;
    BalancedWinding& winding = circuits.winding[kind == BranchKind::phase ? 0 : 1];
    ++winding.phases;
    const std::complex<double> turn = std::polar(1.0, -section.pole_pairs * section.branches[b].angle);
    for (size_t k = 0; k < system.branch[b].index.size(); ++k)
      winding.source[system.branch[b].index[k]] += turn * system.branch[b].value[k];
  }
}

}  // namespace

int CageCircuits::ring_nodes() const {
  size_t count = 0;
  for (const RingNetwork& network : networks) count += network.nodes.size();
  return static_cast<int>(count);
}

CageCircuits read_circuits(const FieldSystem& system, const Materials& materials, const CageEnds& ends) {
  CageCircuits circuits;
  const Section& section = system.section;
  circuits.bars = bar_integrals(system, materials, BranchKind::bar);
  if (circuits.bars.empty() && section.rotor_winding.sides.empty()) {
    std::vector<double> conductivity;
    for (const Region& region : section.regions)
      conductivity.push_back(
          is_solid_part(region) ? materials.at(region.material).conductivity_at(system.options.temperature) : 0);
    circuits.solids = solid_integrals(system, conductivity);
  }
  join_bars(section, ends, circuits);
  read_windings(system, circuits);
  return circuits;
}

}  // namespace polepitch
