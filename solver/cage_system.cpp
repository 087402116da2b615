#include "solver/cage_system.h"

#include <algorithm>
#include <cmath>

namespace polepitch {

CageSystem::CageSystem(const Section& section, const Mesh& mesh, const Materials& materials, const CageEnds& ends,
                       const SolverOptions& options, const CageOptions& cage_options)
    : system(section, mesh, materials, options), cage(cage_options), circuits(read_circuits(system, materials, ends)) {
  per_slice = system.size();
  fields = per_slice * slices();
  voltage0 = fields;
  current0 = voltage0 + bars() * slices();
  ring0 = current0 + bars();
  phase[0] = ring0 + circuits.ring_nodes();
  phase[1] = phase[0] + 1;
  wave0 = phase[1] + (wound() ? 1 : 0);
  size = wave0 + 2 * slices();
  build_pattern();
}

/// Own coefficients of one circle with a smooth permeable surface at the other side's bore or rotor surface.
Eigen::VectorXd CageSystem::smooth(int side) const {
  const Section& s = system.section;
  return smooth_self(*system.annulus, s.sectors, s.gap_circle(static_cast<Side>(side)),
                     side == 0 ? s.rotor_radius : s.stator_radius);
}

/// Row of the working order p.
Eigen::Index CageSystem::working() const {
  const auto& orders = system.annulus->orders();
  return std::find(orders.begin(), orders.end(), system.section.pole_pairs) - orders.begin();
}

double CageSystem::share(int side) const {
  return system.section.sectors * system.section.length / std::max(1, circuits.winding[side].phases);
}

/// Of a slice: linear elements, outside, the annulus's own blocks.
std::vector<MatrixEntry> CageSystem::stiffness() const {
  std::vector<MatrixEntry> list;
  const LowerPattern& lower = system.pattern;
  for (int c = 0; c < lower.size; ++c)
    for (int k = lower.column_start[c]; k < lower.column_start[c + 1]; ++k) {
      list.push_back({lower.row[k], c, system.linear[k]});
      if (lower.row[k] != c) list.push_back({c, lower.row[k], system.linear[k]});
    }
  for (int side : {0, 1}) {
    const TraceFourier& t = trace(side);
    const Eigen::VectorXd self = all_harmonics() ? system.annulus->self() : smooth(side);
    const Eigen::MatrixXd block =
        t.re.transpose() * self.asDiagonal() * t.re + t.im.transpose() * self.asDiagonal() * t.im;
    for (Eigen::Index a = 0; a < block.rows(); ++a)
      for (Eigen::Index b = 0; b < block.cols(); ++b) list.push_back({t.unknowns[a], t.unknowns[b], block(a, b)});
  }
  return list;
}

/// Every coupling outside of the iron: conductors, rings, windings, waves across the gap.
std::vector<CircuitEntry> CageSystem::entries(const CageExcitation& e) const {
  std::vector<CircuitEntry> out;
  add_bars(e, out);
  add_rings(e, out);
  add_windings(e, out);
  add_waves(out);
  if (all_harmonics()) add_crossing(e, out);
  return out;
}

void CageSystem::build_pattern() {
  std::vector<std::pair<int, int>> places;
  const std::vector<MatrixEntry> plain = stiffness();
  for (int s = 0; s < slices(); ++s)
    for (const MatrixEntry& k : plain) places.emplace_back(s * per_slice + k.row, s * per_slice + k.column);
  CageExcitation all;  // voltage-fed with a closed rotor: it has the most entries
  for (const CircuitEntry& entry : entries(all)) places.emplace_back(entry.row, entry.column);
  const auto each_pair = [&](auto use) {
    for (int s = 0; s < slices(); ++s)
      for (const ElementTable::Element& element : system.nonlinear.elements)
        for (int a = 0; a < 6; ++a)
          for (int b = 0; b < 6; ++b) use(s * per_slice, element.unknown[a], element.unknown[b]);
  };
  each_pair([&](int from, int a, int b) {
    if (a >= 0 && b >= 0) places.emplace_back(from + a, from + b);
  });
  matrix = std::make_unique<BlockMatrix>(size, std::move(places));
  matrix->clear();
  for (int s = 0; s < slices(); ++s)
    for (const MatrixEntry& k : plain) matrix->add(s * per_slice + k.row, s * per_slice + k.column, k.value);
  still = matrix->blocks();
  each_pair(
      [&](int from, int a, int b) { scatter.push_back(a < 0 || b < 0 ? -1 : matrix->position(from + a, from + b)); });
}

void CageSystem::set_linear(const CageExcitation& e) {
  matrix->blocks() = still;
  for (const CircuitEntry& entry : entries(e)) matrix->add(entry.row, entry.column, entry.value);
  linear = matrix->blocks();
}

void CageSystem::add_elements(const std::vector<Complex>& x, std::vector<Complex>& force) {
  const auto& elements = system.nonlinear.elements;
  for (int slice = 0; slice < slices(); ++slice)
    for (size_t e = 0; e < elements.size(); ++e) {
      const ElementTable::Element& element = elements[e];
      const BhCurve& curve = system.curves[system.nonlinear_region[e]];
      const int from = slice * per_slice;
      for (const ElementTable::Point& p : element.point) {
        Complex bx = 0, by = 0;
        for (int i = 0; i < 6; ++i) {
          const Complex at = x[from + element.gather[i]];
          bx += p.cx[i] * at;
          by += p.cy[i] * at;
        }
        const double b[4] = {bx.real(), by.real(), bx.imag(), by.imag()};
        const LocusLaw law = locus_law(curve, b);
        for (int i = 0; i < 6; ++i)
          if (element.unknown[i] >= 0)
            force[from + element.unknown[i]] +=
                p.weight * Complex{p.cx[i] * law.h[0] + p.cy[i] * law.h[1], p.cx[i] * law.h[2] + p.cy[i] * law.h[3]};
        add_tangent(slice, e, p, law);
      }
    }
}

/// One point's symmetric tangent, curl φ_i · T curl φ_k in each pair of parts.
void CageSystem::add_tangent(int slice, size_t element, const ElementTable::Point& p, const LocusLaw& law) {
  std::vector<BlockMatrix::Block>& blocks = matrix->blocks();
  const size_t first = 36 * (static_cast<size_t>(slice) * system.nonlinear.elements.size() + element);
  for (int k = 0; k < 6; ++k) {
    double re[4], im[4];  // the law's answer to the real and imaginary part of φ_k
    for (int i = 0; i < 4; ++i) {
      const auto& t = law.tangent[i];
      re[i] = p.weight * (t[0] * p.cx[k] + t[1] * p.cy[k]);
      im[i] = p.weight * (t[2] * p.cx[k] + t[3] * p.cy[k]);
    }
    for (int i = 0; i < 6; ++i) {
      const int at = scatter[first + 6 * static_cast<size_t>(i) + static_cast<size_t>(k)];
      if (at < 0) continue;
      BlockMatrix::Block& block = blocks[at];
      block[0] += p.cx[i] * re[0] + p.cy[i] * re[1];
      block[1] += p.cx[i] * im[0] + p.cy[i] * im[1];
      block[2] += p.cx[i] * re[2] + p.cy[i] * re[3];
      block[3] += p.cx[i] * im[2] + p.cy[i] * im[3];
    }
  }
}

}  // namespace polepitch
