#include "solver/cage_system.h"

#include <algorithm>
#include <cmath>

namespace polepitch {
namespace {

constexpr std::complex<double> j{0, 1};

}  // namespace

CageSystem::CageSystem(const Section& section, const Mesh& mesh, const Materials& materials, const RingSegment& segment,
                       const SolverOptions& options)
    : system(section, mesh, materials, options), ring(segment) {
  bars = bar_integrals(system, materials, BranchKind::bar);
  read_winding();
  fields = system.size();
  bar0 = fields;
  ring0 = bar0 + static_cast<int>(bars.size());
  phase = ring0 + static_cast<int>(bars.size());
  wave0 = phase + 1;
  size = wave0 + 2;
  read_stiffness();
  build_pattern();
}

void CageSystem::read_winding() {
  const Section& section = system.section;
  for (size_t b = 0; b < section.branches.size(); ++b) {
    if (section.branches[b].kind != BranchKind::phase) continue;
    ++phases;
    const Complex turn = std::polar(1.0, -section.pole_pairs * section.branches[b].angle);
    for (size_t k = 0; k < system.branch[b].index.size(); ++k)
      winding[system.branch[b].index[k]] += turn * system.branch[b].value[k];
  }
}

/// Own coefficients of one circle with a smooth permeable surface at the other side's bore or rotor surface.
Eigen::VectorXd CageSystem::smooth(int side) const {
  const Section& s = system.section;
  return smooth_self(*system.annulus, s.sectors, s.gap_circle(static_cast<Side>(side)),
                     side == 0 ? s.rotor_radius : s.bore_radius);
}

/// Row of the working order p.
Eigen::Index CageSystem::working() const {
  const auto& orders = system.annulus->orders();
  return std::find(orders.begin(), orders.end(), system.section.pole_pairs) - orders.begin();
}

void CageSystem::read_stiffness() {
  const LowerPattern& lower = system.pattern;
  for (int c = 0; c < lower.size; ++c)
    for (int k = lower.column_start[c]; k < lower.column_start[c + 1]; ++k) {
      stiffness.push_back({lower.row[k], c, system.linear[k]});
      if (lower.row[k] != c) stiffness.push_back({c, lower.row[k], system.linear[k]});
    }
  const Eigen::Index p = working();
  to_stator = system.annulus->mutual()[p];
  for (int side : {0, 1}) {
    const TraceFourier& t = trace(side);
    const Eigen::VectorXd self = smooth(side);
    own[side] = self[p] - system.annulus->self()[p];
    const Eigen::MatrixXd block =
        t.re.transpose() * self.asDiagonal() * t.re + t.im.transpose() * self.asDiagonal() * t.im;
    for (Eigen::Index a = 0; a < block.rows(); ++a)
      for (Eigen::Index b = 0; b < block.cols(); ++b) stiffness.push_back({t.unknowns[a], t.unknowns[b], block(a, b)});
  }
}

/// Every coupling outside of the iron: bars, rings, winding, the wave across the gap. `visit(row, column, value)`.
template <class Visit>
void CageSystem::visit_circuits(const CageExcitation& e, Visit visit) const {
  const double rotor = e.slip * e.omega, length = system.section.length, sectors = system.section.sectors;
  const int count = static_cast<int>(bars.size());
  for (int k = 0; k < count; ++k) {
    const BarIntegrals& bar = bars[k];
    for (const auto& [at, value] : bar.mass) visit(at.first, at.second, j * (rotor * bar.conductivity * value));
    for (const auto& [u, value] : bar.shape) {
      visit(u, bar0 + k, Complex{-bar.conductivity * value});
      visit(bar0 + k, u, -j * (rotor * bar.conductivity * value));
    }
    visit(bar0 + k, bar0 + k, Complex{bar.conductivity * bar.area});
    const int next = (k + 1) % count, before = (k + count - 1) % count;
    const double up = k + 1 == count ? system.section.sign : 1, down = k == 0 ? system.section.sign : 1;
    visit(bar0 + k, ring0 + k, Complex{-1});
    visit(bar0 + k, ring0 + before, Complex{down});
    visit(ring0 + k, bar0 + next, Complex{length * up});
    visit(ring0 + k, bar0 + k, Complex{-length});
    visit(ring0 + k, ring0 + k, -2.0 * Complex{ring.resistance, rotor * ring.inductance});
  }
  const double share =
      sectors * length /
      std::max(1, static_cast<int>(std::count_if(system.section.branches.begin(), system.section.branches.end(),
                                                 [](const Branch& b) { return b.kind == BranchKind::phase; })));
  for (const auto& [u, value] : winding) {
    visit(u, phase, -value);
    if (e.voltage_fed) visit(phase, u, j * (e.omega * share) * std::conj(value));
  }
  visit(phase, phase, e.voltage_fed ? e.resistance + j * (e.omega * e.end_inductance) : Complex{1});
  const Eigen::Index p = working();
  for (int side : {0, 1}) {
    const TraceFourier& t = trace(side);
    for (Eigen::Index k = 0; k < t.re.cols(); ++k) {
      const Complex shape{t.re(p, k), t.im(p, k)};
      visit(wave0 + side, t.unknowns[k], -std::conj(shape));
      visit(t.unknowns[k], wave0 + side, -0.5 * own[side] * shape);
      visit(t.unknowns[k], wave0 + 1 - side, -0.5 * to_stator * shape);
    }
    visit(wave0 + side, wave0 + side, Complex{1});
  }
}

void CageSystem::build_pattern() {
  std::vector<std::pair<int, int>> entries;
  for (const MatrixEntry& s : stiffness) entries.emplace_back(s.row, s.column);
  CageExcitation all;  // voltage-fed: it has the most entries
  visit_circuits(all, [&](int row, int column, Complex) { entries.emplace_back(row, column); });
  const auto each_pair = [&](auto use) {
    for (const ElementTable::Element& element : system.nonlinear.elements)
      for (int a = 0; a < 6; ++a)
        for (int b = 0; b < 6; ++b) use(element.unknown[a], element.unknown[b]);
  };
  each_pair([&](int a, int b) {
    if (a >= 0 && b >= 0) entries.emplace_back(a, b);
  });
  matrix = std::make_unique<BlockMatrix>(size, std::move(entries));
  each_pair([&](int a, int b) { scatter.push_back(a < 0 || b < 0 ? -1 : matrix->position(a, b)); });
}

void CageSystem::set_linear(const CageExcitation& e) {
  matrix->clear();
  for (const MatrixEntry& s : stiffness) matrix->add(s.row, s.column, s.value);
  visit_circuits(e, [&](int row, int column, Complex value) { matrix->add(row, column, value); });
  linear = matrix->blocks();
}

void CageSystem::add_elements(const std::vector<Complex>& x, std::vector<Complex>* force, bool tangent) {
  const auto& elements = system.nonlinear.elements;
  for (size_t e = 0; e < elements.size(); ++e) {
    const ElementTable::Element& element = elements[e];
    const BhCurve& curve = system.curves[system.nonlinear_region[e]];
    for (const ElementTable::Point& p : element.point) {
      Complex bx = 0, by = 0;
      for (int i = 0; i < 6; ++i) {
        bx += p.cx[i] * x[element.gather[i]];
        by += p.cy[i] * x[element.gather[i]];
      }
      const double b[4] = {bx.real(), by.real(), bx.imag(), by.imag()};
      const LocusLaw law = locus_law(curve, b);
      if (force != nullptr)
        for (int i = 0; i < 6; ++i)
          if (element.unknown[i] >= 0)
            (*force)[element.unknown[i]] +=
                p.weight * Complex{p.cx[i] * law.h[0] + p.cy[i] * law.h[1], p.cx[i] * law.h[2] + p.cy[i] * law.h[3]};
      if (tangent) add_tangent(e, p, law);
    }
  }
}

/// One point's symmetric tangent, curl φ_i · T curl φ_k in each pair of parts.
void CageSystem::add_tangent(size_t element, const ElementTable::Point& p, const LocusLaw& law) {
  std::vector<BlockMatrix::Block>& blocks = matrix->blocks();
  for (int k = 0; k < 6; ++k) {
    double re[4], im[4];  // the law's answer to the real and imaginary part of φ_k
    for (int i = 0; i < 4; ++i) {
      const auto& t = law.tangent[i];
      re[i] = p.weight * (t[0] * p.cx[k] + t[1] * p.cy[k]);
      im[i] = p.weight * (t[2] * p.cx[k] + t[3] * p.cy[k]);
    }
    for (int i = 0; i < 6; ++i) {
      const int at = scatter[36 * element + 6 * static_cast<size_t>(i) + static_cast<size_t>(k)];
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
