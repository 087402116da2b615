#include "cases/describe.h"

#include <cmath>
#include <numbers>

#include "geometry/winding.h"
#include "post/atomic_file.h"
#include "post/figure_mesh.h"
#include "post/figure_section.h"
#include "post/quantity_list.h"

namespace polepitch {
namespace {

constexpr double pi = std::numbers::pi;
constexpr const char* study = "description";

void add(Results& results, const char* name, double value, const char* method, bool key = true) {
  Quantity q = quantity(name, value, method);
  q.study = study;
  q.key_result = key;
  results.quantities.push_back(std::move(q));
}

/// Every mechanical order to the 49th of the pole-pair order, sub-harmonics included, that the winding makes.
ResultCurve winding_factor_curve(const WindingLayout& layout) {
  ResultCurve curve{study, "winding_factors", "Winding factors of phase A", {}, true};
  Column order{"mechanical_order", "", {}}, electrical{"electrical_order", "", {}}, factor{"winding_factor", "", {}},
      angle{"angle", "deg", {}};
  for (int nu = 1; nu <= 49 * layout.pole_pairs; ++nu) {
    const std::complex<double> k = winding_factor(layout, nu);
    if (std::abs(k) < 1e-9) continue;
    order.values.push_back(nu);
    electrical.values.push_back(static_cast<double>(nu) / layout.pole_pairs);
    factor.values.push_back(std::abs(k));
    angle.values.push_back(std::arg(k) * 180 / pi);
  }
  curve.columns = {order, electrical, factor, angle};
  return curve;
}

/// At the instant of the largest current in phase A, 1 A peak: one electrical period, or the whole circle where the
/// winding makes sub-harmonics.
ResultCurve mmf_curve(const WindingLayout& layout) {
  std::vector<double> currents, angles;
  for (int k = 0; k < layout.phases; ++k) {
    const double shift = layout.phases % 2 != 0 ? 2 * pi * k / layout.phases : pi * k / layout.phases;
    currents.push_back(std::cos(shift));
  }
  constexpr int points = 1440;
  Column angle{"angle", "deg", {}}, mmf{"mmf", "A", {}};
  for (int i = 0; i <= points; ++i) {
    angle.values.push_back(360.0 * i / points);
    angles.push_back(2 * pi * i / points);
  }
  mmf.values = mmf_waveform(layout, currents, angles);
  return {study, "mmf", "MMF of the stator winding, 1 A peak in phase A", {angle, mmf}, false};
}

void describe_mesh(Results& results, const Mesh& mesh, int pole_pairs) {
  add(results, "triangles_per_pole", mesh.triangles_per_pole(pole_pairs), "count");
  add(results, "mesh_smallest_angle", mesh.quality.smallest_angle * 180 / pi, "mesh");
  add(results, "mesh_mean_shape", mesh.quality.mean_shape, "mesh", false);
  add(results, "mesh_worst_shape", mesh.quality.worst_shape, "mesh", false);
}

}  // namespace

Results describe_machine(const Case& kase, const Section& section, const Mesh& mesh) {
  Results results;
  if (kase.machine.winding.present) {
    const WindingLayout& layout = section.winding;
    add(results, "winding_factor", std::abs(winding_factor(layout, layout.pole_pairs)), "closed form");
    add(results, "turns_in_series", layout.turns_in_series(), "count");
    results.curves.push_back(winding_factor_curve(layout));
    results.curves.push_back(mmf_curve(layout));
  }
  describe_mesh(results, mesh, section.pole_pairs);
  return results;
}

std::vector<std::string> draw_description(const Case& kase, const Section& section, const Mesh& mesh,
                                          const std::string& directory) {
  SectionFigureOptions whole;
  whole.title = kase.title;
  const std::vector<std::pair<std::string, Canvas>> figures = {
      {"section", draw_section_figure(section, whole)},
      {"mesh", draw_mesh_figure(section, mesh, {.title = kase.title})},
  };
  std::vector<std::string> files;
  for (const auto& [name, canvas] : figures)
    for (const auto& [extension, format] : {std::pair{".png", PictureFormat::png}, {".svg", PictureFormat::svg}}) {
      files.push_back(name + extension);
      write_file(directory + "/" + files.back(), canvas.render(format));
    }
  return files;
}

}  // namespace polepitch
