#include "solver/cage_factor.h"

#include <algorithm>
#include <cmath>

#include "solver/dense_blas.h"

namespace polepitch {
namespace {

using Complex = std::complex<double>;

/// Complex numbers as blocks of two real ones by two.
Eigen::MatrixXd real_form(const Eigen::MatrixXcd& m) {
  Eigen::MatrixXd real(2 * m.rows(), 2 * m.cols());
  for (Eigen::Index c = 0; c < m.cols(); ++c)
    for (Eigen::Index r = 0; r < m.rows(); ++r) {
      real(2 * r, 2 * c) = real(2 * r + 1, 2 * c + 1) = m(r, c).real();
      real(2 * r + 1, 2 * c) = m(r, c).imag();
      real(2 * r, 2 * c + 1) = -m(r, c).imag();
    }
  return real;
}

Eigen::Map<const Eigen::VectorXd> real_view(const Eigen::VectorXcd& v) {
  return {reinterpret_cast<const double*>(v.data()), 2 * v.size()};
}

Eigen::VectorXcd complex_of(const Eigen::VectorXd& v) {
  return Eigen::Map<const Eigen::VectorXcd>(reinterpret_cast<const Complex*>(v.data()), v.size() / 2);
}

}  // namespace

CageFactor::CageFactor(const CageSystem& system) : system_(system) {
  find_bases();
  find_pattern();
  cholesky_ = std::make_unique<SparseCholesky>(pattern_);
}

void CageFactor::find_bases() {
  const auto add = [&](int slice, const auto& shape, std::vector<int> columns, std::vector<int> rows) {
    Base base{{}, 0, std::move(columns), std::move(rows)};
    double most = 0;
    for (const auto& [u, value] : shape) {
      const Complex number = value;
      base.entries.emplace_back(slice * system_.per_slice + u, number);
      if (std::abs(number) > most) base.pivot = base.entries.back().first, most = std::abs(number);
    }
    if (most > 0) bases_.push_back(std::move(base));
  };
  const Eigen::Index p = system_.working();
  for (int s = 0; s < system_.slices(); ++s) {
    for (int k = 0; k < system_.bars(); ++k) {
      const int v = system_.voltage(s, k);
      add(s, system_.circuits.bars[static_cast<size_t>(k)].shape, {v}, {v});
    }
    for (int side : {0, 1}) {
      if (side == 0 || system_.wound())
        add(s, system_.circuits.winding[side].source, {system_.phase[side]}, {system_.phase[side]});
      const TraceFourier& t = system_.trace(side);
      std::vector<std::pair<int, Complex>> shape;
      for (Eigen::Index k = 0; k < t.re.cols(); ++k) shape.emplace_back(t.unknowns[k], Complex{t.re(p, k), t.im(p, k)});
      std::vector<int> both;
      if (!system_.all_harmonics()) both = {system_.wave(s, 0), system_.wave(s, 1)};
      add(s, shape, both, {system_.wave(s, side)});
    }
  }
}

/// Real and imaginary part of two unknowns meet where an element of iron holds both.
void CageFactor::find_pattern() {
  const BlockMatrix& m = *system_.matrix;
  std::vector<char> iron(m.entries(), 0);
  for (int place : system_.scatter)
    if (place >= 0) iron[static_cast<size_t>(place)] = 1;
  pattern_.size = 2 * system_.fields;
  pattern_.column_start = {0};
  for (int c = 0; c < system_.fields; ++c)
    for (int q : {0, 1}) {
      m.each_in_column(c, [&](int r, int place) {
        if (r < c || r >= system_.fields) return;
        const int back = m.position(c, r);
        for (int p : {0, 1}) {
          if ((r == c && p < q) || (p != q && iron[static_cast<size_t>(place)] == 0)) continue;
          pattern_.row.push_back(2 * r + p);
          entries_.push_back({place, 2 * p + q, back, 2 * q + p});
        }
      });
      pattern_.column_start.push_back(static_cast<int>(pattern_.row.size()));
    }
}

bool CageFactor::factorise() {
  const std::vector<BlockMatrix::Block>& blocks = system_.matrix->blocks();
  std::vector<double> values;
  values.reserve(entries_.size());
  for (const Entry& e : entries_)
    values.push_back(0.5 * (blocks[static_cast<size_t>(e.first)][static_cast<size_t>(e.first_part)] +
                            blocks[static_cast<size_t>(e.second)][static_cast<size_t>(e.second_part)]));
  if (!cholesky_->factorise(values)) return false;
  const auto rows = static_cast<size_t>(pattern_.size), columns = 2 * bases_.size();
  std::vector<double> right(rows * columns);
  for (size_t b = 0; b < bases_.size(); ++b)
    for (const auto& [u, value] : bases_[b].entries) {  // the shape, and j times it
      double* at = right.data() + 2 * b * rows + 2 * static_cast<size_t>(u);
      at[0] = value.real(), at[1] = value.imag();
      at[rows] = -value.imag(), at[rows + 1] = value.real();
    }
  forward_.resize(static_cast<Eigen::Index>(rows), static_cast<Eigen::Index>(columns));
  cholesky_->forward(right, {forward_.data(), right.size()}, static_cast<int>(columns));
  dense::gram(forward_, gram_);
  return true;
}

Complex CageFactor::block(int row, int column) const {
  const BlockMatrix::Block& b = system_.linear[static_cast<size_t>(system_.matrix->position(row, column))];
  return {b[0], b[2]};
}

bool CageFactor::set_circuits() {
  const Eigen::Index all = circuits(), v = voltages(), rest = all - v;
  const auto shapes = static_cast<Eigen::Index>(bases_.size());
  Eigen::MatrixXcd acting = Eigen::MatrixXcd::Zero(shapes, all), seen = Eigen::MatrixXcd::Zero(all, shapes);
  for (Eigen::Index b = 0; b < shapes; ++b) {
    const Base& base = bases_[static_cast<size_t>(b)];
    const auto pivot = std::find_if(base.entries.begin(), base.entries.end(),
                                    [&](const auto& entry) { return entry.first == base.pivot; });
    for (int c : base.columns) acting(b, c - system_.fields) = block(base.pivot, c) / pivot->second;
    for (int r : base.rows) seen(r - system_.fields, b) = block(r, base.pivot) / std::conj(pivot->second);
  }
  Eigen::MatrixXcd own = Eigen::MatrixXcd::Zero(all, all);
  for (int c = system_.fields; c < system_.size; ++c)
    system_.matrix->each_in_column(c, [&](int r, int place) {
      const BlockMatrix::Block& b = system_.linear[static_cast<size_t>(place)];
      if (r >= system_.fields) own(r - system_.fields, c - system_.fields) = Complex{b[0], b[2]};
    });
  // v = (r_v − what its equation sees of A − what it sees of the rest)/(σS); the part of it that A's deviation from its
  // mean balances is left out of the fields' rows.
  voltage_diagonal_ = own.topLeftCorner(v, v).diagonal();
  const Eigen::VectorXcd inverse = voltage_diagonal_.cwiseInverse();
  seen_by_voltages_ = inverse.asDiagonal() * seen.topRows(v);
  voltages_by_rest_ = inverse.asDiagonal() * own.topRightCorner(v, rest);
  rest_by_voltages_ = own.bottomLeftCorner(rest, v);
  acting_voltages_ = acting.leftCols(v);
  acting_ = real_form(acting.rightCols(rest) - acting_voltages_ * voltages_by_rest_);
  seen_ = real_form(seen.bottomRows(rest) - rest_by_voltages_ * seen_by_voltages_);
  const RealMatrix corner =
      real_form(own.bottomRightCorner(rest, rest) - rest_by_voltages_ * voltages_by_rest_) - seen_ * gram_ * acting_;
  corner_.compute(corner);
  return std::isfinite(corner_.rcond()) && corner_.rcond() > 0;
}

std::vector<Complex> CageFactor::solve(const std::vector<Complex>& right) const {
  const int fields = system_.fields;
  const Eigen::Index v = voltages(), rest = circuits() - v;
  const Eigen::Map<const Eigen::VectorXcd> given(right.data() + fields, circuits());
  const Eigen::VectorXcd given_voltages = given.head(v).cwiseQuotient(voltage_diagonal_);
  std::vector<Complex> force(right.begin(), right.begin() + fields);
  const Eigen::VectorXcd shift = acting_voltages_ * given_voltages;
  for (Eigen::Index b = 0; b < shift.size(); ++b)
    if (shift[b] != 0.0)
      for (const auto& [u, value] : bases_[static_cast<size_t>(b)].entries)
        force[static_cast<size_t>(u)] -= shift[b] * value;
  const size_t count = 2 * static_cast<size_t>(fields);
  Eigen::VectorXd y(static_cast<Eigen::Index>(count));
  cholesky_->forward({reinterpret_cast<const double*>(force.data()), count}, {y.data(), count});
  Eigen::VectorXd share;  // of every base in the fields' answer
  dense::multiply_transposed(forward_, y.data(), share);
  const Eigen::VectorXcd tail = given.tail(rest) - rest_by_voltages_ * given_voltages;
  const Eigen::VectorXd z = corner_.solve(real_view(tail) - seen_ * share);
  const Eigen::VectorXd acted = acting_ * z;
  dense::add_product(forward_, acted, -1, y.data());
  share -= gram_ * acted;
  std::vector<Complex> solution(right.size());
  cholesky_->backward({y.data(), count}, {reinterpret_cast<double*>(solution.data()), count});
  const Eigen::VectorXcd found = complex_of(z);
  Eigen::Map<Eigen::VectorXcd> circuits_of(solution.data() + fields, circuits());
  circuits_of.head(v) = given_voltages - seen_by_voltages_ * complex_of(share) - voltages_by_rest_ * found;
  circuits_of.tail(rest) = found;
  return solution;
}

}  // namespace polepitch
