#include "geometry/dimension.h"

#include <algorithm>
#include <cmath>
#include <string_view>

#include <fmt/format.h>

#include "geometry/curves.h"
#include "geometry/drawing.h"

namespace polepitch {

namespace {

std::string words_of(std::string key) {
  std::replace(key.begin(), key.end(), '_', ' ');
  return key;
}

/// "barrier_depths" of entry 1 -> "barrier 2 depth".
std::string words_of_entry(const std::string& key, int entry) {
  std::string words = words_of(key);
  const std::string_view plural = words.ends_with("sses") ? "es" : words.ends_with("s") ? "s" : "";
  words.resize(words.size() - plural.size());
  const std::size_t blank = words.find(' ');
  return words.insert(blank == std::string::npos ? words.size() : blank, fmt::format(" {}", entry + 1));
}

}  // namespace

double length_of(const Dimension& d) {
  return distance(d.from, d.to);
}

void add_dimension(SideDrawing& drawing, const Block& block, const std::string& parameter, Point from, Point to,
                   int entry) {
  const std::string path = block.path + "." + parameter;
  if (entry < 0)
    drawing.dimensions.push_back({words_of(parameter), path, drawing.side, from, to});
  else
    drawing.dimensions.push_back(
        {words_of_entry(parameter, entry), fmt::format("{}[{}]", path, entry), drawing.side, from, to});
}

void add_measure(SideDrawing& drawing, std::string name, Point from, Point to) {
  drawing.dimensions.push_back({std::move(name), "", drawing.side, from, to});
}

void add_air_gap(SideDrawing& drawing, const Plan& plan, double angle) {
  add_dimension(drawing, plan.machine->rotor, "air_gap", polar(plan.rotor_radius, angle),
                polar(plan.stator_radius, angle));
}

}  // namespace polepitch
