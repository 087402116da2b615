#include "solver/third_order_stiffness.h"

#include <algorithm>

namespace polepitch {

ThirdOrderStiffness::ThirdOrderStiffness(const ThirdOrderTables& tables) : curves_(tables.system.curves) {
  const Mesh& mesh = tables.system.mesh;
  for (int q = 0; q < kThirdPoints; ++q) {
    const ShapeValues s = shape_values(mesh.order, third_order_rule()[q].at);
    const BubbleValues bubbles = bubble_values(third_order_rule()[q].at);
    for (int i = 0; i < kThirdShapes; ++i) {
      slopes_.d1[q][i] = i < 6 ? s.d1[i] : bubbles.d1[i - 6];
      slopes_.d2[q][i] = i < 6 ? s.d2[i] : bubbles.d2[i - 6];
    }
  }
  // Constant reluctivity first.
  std::vector<int> elements[2], regions[2];
  for (size_t e = 0; e < mesh.triangles.size(); ++e) {
    const int iron = curves_[mesh.region[e]].linear() ? 0 : 1;
    elements[iron].push_back(static_cast<int>(e));
    regions[iron].push_back(mesh.region[e]);
  }
  for (int iron = 0; iron < 2; ++iron) {
    for (const std::vector<int>& places : group_by_region(regions[iron])) {
      ThirdOrderPack& pack = packs_.emplace_back(empty_pack<kThirdShapes, kThirdPoints>(regions[iron][places.front()]));
      for (size_t l = 0; l < places.size(); ++l)
        take_element(tables, elements[iron][places[l]], static_cast<int>(l), pack);
    }
    if (iron == 0) linear_ = packs_.size();
  }
  condensed_.resize(packs_.size());
  for (size_t p = 0; p < packs_.size(); ++p) {
    std::copy_n(&packs_[p].unknown[0][0], kThirdShapes * kLanes, &condensed_[p].unknown[0][0]);
    double nu, slope;
    curves_[packs_[p].region].reluctivity(0, nu, slope);
    third_order::stiffen_linear(packs_[p], slopes_, nu, condensed_[p]);
  }
}

void ThirdOrderStiffness::take_element(const ThirdOrderTables& tables, int triangle, int lane, ThirdOrderPack& pack) {
  const ThirdOrderElement& element = tables.elements[triangle];
  pack.element[lane] = triangle;
  for (int i = 0; i < kThirdShapes; ++i) {
    pack.unknown[i][lane] = std::max(element.unknown[i], 0);
    pack.sign[i][lane] = element.unknown[i] < 0 ? 0 : element.sign[i];
  }
  for (int q = 0; q < kThirdPoints; ++q)
    set_point(tables.system.mesh, triangle, third_order_rule()[q], lane, pack.point[q]);
}

void ThirdOrderStiffness::linearise(const std::vector<double>& z, bool frozen, std::vector<double>& force) {
  third_order::add_linear_force(condensed_.data(), linear_, z.data(), force.data());
  for (size_t p = linear_; p < packs_.size(); ++p)
    third_order::add_iron(packs_[p], slopes_, curves_[packs_[p].region], frozen, z.data(), force.data(), condensed_[p]);
}

void ThirdOrderStiffness::add_product(const std::vector<double>& x, std::vector<double>& y) const {
  third_order::add_product(condensed_.data(), condensed_.size(), x.data(), y.data());
}

double ThirdOrderStiffness::eliminate(std::vector<double>& right) const {
  return third_order::eliminate(condensed_.data(), condensed_.size(), right.data());
}

void ThirdOrderStiffness::add_step(const std::vector<double>& right, const std::vector<double>& x,
                                   std::vector<double>& z) const {
  for (size_t i = 0; i < x.size(); ++i) z[i] += x[i];
  third_order::add_inside(condensed_.data(), condensed_.size(), right.data(), x.data(), z.data());
}

void ThirdOrderStiffness::add_diagonal(bool iron, std::vector<double>& diagonal) const {
  for (size_t p = iron ? linear_ : 0; p < (iron ? condensed_.size() : linear_); ++p)
    for (int i = 6; i < kKept; ++i)
      for (int l = 0; l < kLanes; ++l) diagonal[condensed_[p].unknown[i][l]] += condensed_[p].k[i * (i + 3) / 2][l];
}

double ThirdOrderStiffness::energy(const std::vector<double>& z) const {
  double sum = 0;
  for (const ThirdOrderPack& pack : packs_) sum += third_order::energy(pack, slopes_, curves_[pack.region], z.data());
  return sum;
}

}  // namespace polepitch
