#include "post/field_lines.h"

#include <algorithm>
#include <cstdint>

namespace polepitch {
namespace {

// A point of a line is either a node (key of the pair i, i) or the crossing of an edge (key of its two nodes).
using Key = std::uint64_t;

struct Segment {
  Key from, to;
};

Key key_of(int i, int j) {
  const auto [low, high] = std::minmax(i, j);
  return static_cast<Key>(low) << 32 | static_cast<Key>(high);
}

struct Crossing {
  const Triangulation& mesh;
  std::span<const double> values;
  double level;

  // Always from the lower node number, so that both neighbours of the edge find the same point bit for bit.
  Point operator()(Key key) const {
    const auto i = static_cast<std::size_t>(key >> 32), j = static_cast<std::size_t>(key & 0xffffffffu);
    const Point &p = mesh.nodes[i], &q = mesh.nodes[j];
    if (i == j) return p;
    const double t = std::clamp((level - values[i]) / (values[j] - values[i]), 0.0, 1.0);
    return {p.x + t * (q.x - p.x), p.y + t * (q.y - p.y)};
  }
};

std::vector<Polyline> chain(std::vector<Segment> segments, const Crossing& point) {
  std::sort(segments.begin(), segments.end(), [](const Segment& a, const Segment& b) { return a.from < b.from; });
  std::vector<Key> ends(segments.size());
  std::transform(segments.begin(), segments.end(), ends.begin(), [](const Segment& s) { return s.to; });
  std::sort(ends.begin(), ends.end());
  std::vector<bool> used(segments.size(), false);
  const auto next = [&](Key key) {
    auto it =
        std::lower_bound(segments.begin(), segments.end(), key, [](const Segment& s, Key k) { return s.from < k; });
    while (it != segments.end() && it->from == key && used[static_cast<std::size_t>(it - segments.begin())]) ++it;
    return it != segments.end() && it->from == key ? static_cast<std::size_t>(it - segments.begin()) : segments.size();
  };
  std::vector<Polyline> lines;
  const auto walk = [&](std::size_t first) {
    Polyline line;
    line.points.push_back(point(segments[first].from));
    for (std::size_t s = first; s < segments.size(); s = next(segments[s].to)) {
      used[s] = true;
      line.closed = segments[s].to == segments[first].from;
      if (line.closed) break;
      line.points.push_back(point(segments[s].to));
    }
    lines.push_back(std::move(line));
  };
  for (std::size_t s = 0; s < segments.size(); ++s)  // open lines from their heads
    if (!used[s] && !std::binary_search(ends.begin(), ends.end(), segments[s].from)) walk(s);
  for (std::size_t s = 0; s < segments.size(); ++s)
    if (!used[s]) walk(s);
  return lines;
}

// The crossing of one triangle, high values on the left.
bool cross(const std::array<int, 3>& t, const double* v, double level, Segment& segment) {
  const bool above[] = {v[0] >= level, v[1] >= level, v[2] >= level};
  const int count = above[0] + above[1] + above[2];
  if (count == 0 || count == 3) return false;
  int lone = 0;
  while (above[lone] != (count == 1)) ++lone;
  const Key leaving = key_of(t[lone], t[(lone + 1) % 3]), entering = key_of(t[lone], t[(lone + 2) % 3]);
  segment = count == 1 ? Segment{leaving, entering} : Segment{entering, leaving};
  return true;
}

}  // namespace

std::vector<std::vector<Polyline>> level_lines(const Triangulation& mesh, std::span<const double> values,
                                               std::span<const double> levels) {
  std::vector<double> sorted(levels.begin(), levels.end());
  std::sort(sorted.begin(), sorted.end());
  std::vector<std::vector<Segment>> segments(sorted.size());
  for (const auto& t : mesh.triangles) {
    const double v[] = {values[static_cast<std::size_t>(t[0])], values[static_cast<std::size_t>(t[1])],
                        values[static_cast<std::size_t>(t[2])]};
    const auto [low, high] = std::minmax({v[0], v[1], v[2]});
    auto level = std::lower_bound(sorted.begin(), sorted.end(), low);
    Segment s;
    for (; level != sorted.end() && *level <= high; ++level)
      if (cross(t, v, *level, s)) segments[static_cast<std::size_t>(level - sorted.begin())].push_back(s);
  }
  std::vector<std::vector<Polyline>> lines;
  lines.reserve(sorted.size());
  for (std::size_t i = 0; i < sorted.size(); ++i)
    lines.push_back(chain(std::move(segments[i]), {mesh, values, sorted[i]}));
  return lines;
}

std::vector<unsigned char> border_edges(const Triangulation& mesh) {
  struct Edge {
    Key key;
    std::uint32_t place;
  };
  std::vector<Edge> edges;
  edges.reserve(3 * mesh.triangles.size());
  for (std::size_t t = 0; t < mesh.triangles.size(); ++t)
    for (std::size_t e = 0; e < 3; ++e)
      edges.push_back(
          {key_of(mesh.triangles[t][e], mesh.triangles[t][(e + 1) % 3]), static_cast<std::uint32_t>(3 * t + e)});
  std::sort(edges.begin(), edges.end(), [](const Edge& a, const Edge& b) { return a.key < b.key; });
  std::vector<unsigned char> border(mesh.triangles.size(), 0);
  for (std::size_t i = 0; i < edges.size(); ++i) {
    const bool paired =
        (i > 0 && edges[i - 1].key == edges[i].key) || (i + 1 < edges.size() && edges[i + 1].key == edges[i].key);
    if (!paired) border[edges[i].place / 3] |= static_cast<unsigned char>(1u << edges[i].place % 3);
  }
  return border;
}

std::vector<Polyline> area_above(const Triangulation& mesh, std::span<const unsigned char> border,
                                 std::span<const double> values, double level) {
  std::vector<Segment> segments;
  for (std::size_t k = 0; k < mesh.triangles.size(); ++k) {
    const auto& t = mesh.triangles[k];
    const double v[] = {values[static_cast<std::size_t>(t[0])], values[static_cast<std::size_t>(t[1])],
                        values[static_cast<std::size_t>(t[2])]};
    Segment s;
    if (cross(t, v, level, s)) segments.push_back(s);
    for (std::size_t e = 0; border[k] != 0 && e < 3; ++e) {
      if (!(border[k] >> e & 1)) continue;
      const std::size_t f = (e + 1) % 3;
      if (v[e] < level && v[f] < level) continue;
      segments.push_back({v[e] >= level ? key_of(t[e], t[e]) : key_of(t[e], t[f]),
                          v[f] >= level ? key_of(t[f], t[f]) : key_of(t[e], t[f])});
    }
  }
  return chain(std::move(segments), {mesh, values, level});
}

std::vector<double> equal_steps(std::span<const double> values, int count, double* step) {
  if (step) *step = 0;
  if (values.empty() || count < 1) return {};
  const auto [low, high] = std::minmax_element(values.begin(), values.end());
  const double size = std::max(std::abs(*low), std::abs(*high)), h = (*high - *low) / count;
  if (!(h > 1e-12 * size)) return {};
  if (step) *step = h;
  std::vector<double> levels;
  for (int i = 0; i < count; ++i) levels.push_back(*low + (i + 0.5) * h);
  return levels;
}

}  // namespace polepitch
