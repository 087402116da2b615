#include "post/scene.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <nlohmann/json.hpp>

#include "post/base64.h"

namespace polepitch {
namespace {

using nlohmann::json;

double step_of(const StaticSolution& solution) {
  double largest = 0;
  for (double a : solution.a) largest = std::max(largest, std::abs(a));
  return largest > 0 ? largest / 32767 : 1;
}

double short_number(double v) {
  return std::stod(fmt::format("{:.7g}", v));
}

json short_list(const std::vector<double>& values) {
  json list = json::array();
  for (double v : values) list.push_back(short_number(v));
  return list;
}

json mesh_json(const Section& section, const Mesh& mesh) {
  std::vector<float> nodes;
  for (const Point& p : mesh.nodes) {
    nodes.push_back(static_cast<float>(p.x));
    nodes.push_back(static_cast<float>(p.y));
  }
  std::vector<std::uint32_t> triangles;
  std::vector<std::uint16_t> regions;
  for (const auto& t : mesh.triangles)
    for (int node : t) triangles.push_back(static_cast<std::uint32_t>(node));
  for (int r : mesh.region) regions.push_back(static_cast<std::uint16_t>(r));
  return {{"nodes", base64_of(nodes.data(), nodes.size())},
          {"triangles", base64_of(triangles.data(), triangles.size())},
          {"regions", base64_of(regions.data(), regions.size())},
          {"stator_nodes", mesh.stator_nodes},
          {"sectors", mesh.sectors},
          {"sign", mesh.sign},
          {"sector_angle", section.sector_angle()},
          {"start", {section.sides[0].start_angle, section.sides[1].start_angle}},
          {"pole_pairs", section.pole_pairs},
          {"gap", {{"stator", mesh.gap[0].nodes}, {"rotor", mesh.gap[1].nodes}}}};
}

/// B–H tables, one a material, to 2.6 T; and every region with the one it has.
void add_parts(json& all, const StaticField& field) {
  const Section& section = field.section();
  json parts = json::array(), curves = json::array();
  std::vector<std::string> known;
  for (size_t r = 0; r < section.regions.size(); ++r) {
    const Region& region = section.regions[r];
    const BhCurve& curve = field.curve(static_cast<int>(r));
    const std::string key = region.material + (region.role == Role::core ? " core" : "");
    auto it = std::find(known.begin(), known.end(), key);
    if (it == known.end()) {
      json b = json::array(), h = json::array();
      for (int k = 0; k <= 52; ++k) {
        b.push_back(0.05 * k);
        h.push_back(short_number(curve.h(0.05 * k)));
      }
      curves.push_back({{"b", b}, {"h", h}});
      it = known.insert(known.end(), key);
    }
    const Magnetisation& m = region.magnetisation;
    parts.push_back(
        {{"name", region.name},
         {"material", region.material},
         {"side", region.side == Side::stator ? 0 : 1},
         {"curve", it - known.begin()},
         {"remanence", m.pattern == Magnetisation::Pattern::none ? 0 : field.remanence(static_cast<int>(r))},
         {"radial", m.pattern == Magnetisation::Pattern::radial ? m.sign : 0},
         {"direction", m.direction}});
  }
  all["parts"] = parts;
  all["curves"] = curves;
}

json frame_json(const SceneFrame& frame) {
  const double step = step_of(*frame.solution);
  std::vector<std::int16_t> a;
  a.reserve(frame.solution->a.size());
  for (double v : frame.solution->a) a.push_back(static_cast<std::int16_t>(std::lround(v / step)));
  return {{"x", short_number(frame.x)},
          {"angle", frame.solution->rotor_angle},
          {"joined", frame.solution->gap.harmonics.size() > 1},
          {"torque", short_number(frame.torque)},
          {"stator", {short_number(frame.stator.real()), short_number(frame.stator.imag())}},
          {"rotor", {short_number(frame.rotor.real()), short_number(frame.rotor.imag())}},
          {"scale", step},
          {"a", base64_of(a.data(), a.size())}};
}

}  // namespace

double quantisation(const StaticSolution& solution) {
  return 0.5 * step_of(solution);
}

std::string scenes_json(const StaticField& field, const std::vector<Scene>& scenes) {
  json all = mesh_json(field.section(), field.mesh());
  add_parts(all, field);
  all["scenes"] = json::array();
  for (const Scene& scene : scenes) {
    json frames = json::array();
    for (const SceneFrame& frame : scene.frames) frames.push_back(frame_json(frame));
    all["scenes"].push_back({{"study", scene.study},
                             {"title", scene.title},
                             {"x", {{"name", scene.x_name}, {"unit", scene.x_unit}}},
                             {"curve", {{"x", short_list(scene.curve_x)}, {"torque", short_list(scene.curve_torque)}}},
                             {"frames", frames}});
  }
  return all.dump();
}

}  // namespace polepitch
