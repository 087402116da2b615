#include "post/flux_density.h"

#include <fmt/core.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <map>

#include "post/area_points.h"

namespace polepitch {

namespace {

using Part = Gauge::Part;

constexpr std::array<Part, 7> all_parts = {Part::stator_tooth, Part::stator_yoke, Part::rotor_tooth, Part::rotor_yoke,
                                           Part::pole_core,    Part::pole_shoe,   Part::bridge};

/// Radii between which the cuts of one part lie; a cut counts by its middle, a yoke's cut by both its ends.
struct Band {
  Side side = Side::stator;
  double low = 1e300, high = 0;
  void take(double r) {
    low = std::min(low, r);
    high = std::max(high, r);
  }
  /// How far a radius lies outside, 0 inside.
  double distance(double r) const { return std::max({0.0, low - r, r - high}); }
};

bool is_yoke(Part part) {
  return part == Part::stator_yoke || part == Part::rotor_yoke;
}

std::vector<Band> part_bands(const Section& section, const std::vector<PartRecord>& parts) {
  std::vector<Band> bands(parts.size());
  for (const Gauge& gauge : section.gauges) {
    for (std::size_t i = 0; i < parts.size(); ++i) {
      if (parts[i].part != gauge.part) continue;
      bands[i].side = gauge.side;
      for (const Gauge::Cut& cut : gauge.cuts) {
        if (is_yoke(gauge.part)) {
          bands[i].take(std::hypot(cut.from.x, cut.from.y));
          bands[i].take(std::hypot(cut.to.x, cut.to.y));
        } else {
          bands[i].take(std::hypot(0.5 * (cut.from.x + cut.to.x), 0.5 * (cut.from.y + cut.to.y)));
        }
      }
    }
  }
  return bands;
}

/// A yoke reaches as far as its gauges' cuts do; what lies outside belongs to the nearest other part.
int part_at(const std::vector<Band>& bands, const std::vector<PartRecord>& parts, Side side, double r) {
  int best = -1, yoke = -1;
  double distance = 1e300;
  for (std::size_t i = 0; i < bands.size(); ++i) {
    if (bands[i].side != side) continue;
    const double away = bands[i].distance(r);
    if (is_yoke(parts[i].part)) {
      yoke = static_cast<int>(i);
      if (away == 0) return yoke;
    } else if (away < distance) {
      best = static_cast<int>(i);
      distance = away;
    }
  }
  return best >= 0 ? best : yoke;
}

PartRecord* record_of(FluxDensityRecord& record, Part part) {
  for (PartRecord& entry : record.parts) {
    if (entry.part == part) return &entry;
  }
  return nullptr;
}

/// The next value of a list that is gone through once a field.
void take_next(std::vector<double>& list, std::size_t index, double value) {
  if (index == list.size()) list.push_back(0);
  list[index] = std::max(list[index], value);
}

void add_gauges(FluxDensityRecord& record, const StaticField& field, const StaticSolution& solution) {
  std::map<Part, std::size_t> seen, seen_third;
  for (const Gauge& gauge : field.section().gauges) {
    PartRecord* entry = record_of(record, gauge.part);
    if (entry == nullptr || gauge.cuts.empty()) continue;
    const std::vector<double> along = gauge_flux_density(field, solution, gauge);
    double own = 0;
    for (double b : along) {
      own = std::max(own, std::abs(b));
      if (entry->found && std::abs(b) <= entry->largest) continue;
      entry->found = true;
      entry->largest = std::abs(b);
      entry->worst_name = gauge.name;
      entry->worst_angle = solution.rotor_angle;
    }
    take_next(entry->each, seen[gauge.part]++, own);
    if (gauge.third >= 0 && gauge.third < static_cast<int>(along.size())) {
      const double third = std::abs(along[gauge.third]);
      entry->at_third = std::max(entry->at_third, third);
      take_next(entry->each_third, seen_third[gauge.part]++, third);
    }
  }
}

}  // namespace

std::string part_key(Part part) {
  switch (part) {
    case Part::stator_tooth:
      return "stator_tooth";
    case Part::stator_yoke:
      return "stator_yoke";
    case Part::rotor_tooth:
      return "rotor_tooth";
    case Part::rotor_yoke:
      return "rotor_yoke";
    case Part::pole_core:
      return "pole_core";
    case Part::pole_shoe:
      return "pole_shoe";
    case Part::bridge:
      return "bridge";
  }
  return "";
}

std::string part_name(Part part) {
  std::string name = part_key(part);
  std::replace(name.begin(), name.end(), '_', ' ');
  return name;
}

std::vector<double> gauge_flux_density(const StaticField& field, const StaticSolution& solution, const Gauge& gauge) {
  std::vector<double> along;
  for (const Gauge::Cut& cut : gauge.cuts) {
    const double flux =
        cut.to_sign * field.potential(solution, gauge.side, cut.to) - field.potential(solution, gauge.side, cut.from);
    along.push_back(flux / cut.width);
  }
  return along;
}

FluxDensityRecord flux_density_record(const StaticField& field) {
  const Section& section = field.section();
  const Mesh& mesh = field.mesh();
  FluxDensityRecord record;
  for (Part part : all_parts) {
    const auto has_part = [part](const Gauge& gauge) { return gauge.part == part && !gauge.cuts.empty(); };
    if (std::any_of(section.gauges.begin(), section.gauges.end(), has_part)) {
      record.parts.emplace_back().part = part;
    }
  }
  const std::vector<Band> bands = part_bands(section, record.parts);
  record.part_of.assign(mesh.triangles.size(), -1);
  record.point_area.reserve(mesh.triangles.size() * area_point_count);
  for (std::size_t t = 0; t < mesh.triangles.size(); ++t) {
    const AreaPoints points = area_points(mesh, static_cast<int>(t));
    Point centre;
    for (const AreaPoint& e : points) {
      record.point_area.push_back(e.area);
      centre.x += e.point.x / area_point_count;
      centre.y += e.point.y / area_point_count;
    }
    const Region& region = section.regions[mesh.region[t]];
    if (region.role != Role::core && region.role != Role::layer) continue;  // a solid core is a layer
    record.part_of[t] = part_at(bands, record.parts, region.side, std::hypot(centre.x, centre.y));
  }
  return record;
}

void add_field(FluxDensityRecord& record, const StaticField& field, const StaticSolution& solution) {
  add_gauges(record, field, solution);
  const Mesh& mesh = field.mesh();
  const AreaPoints rule = area_points(mesh, 0);  // the barycentric places are every element's
  std::vector<std::vector<std::pair<double, double>>> samples(record.parts.size());
  for (std::size_t t = 0; t < mesh.triangles.size(); ++t) {
    const int part = record.part_of[t];
    if (part < 0) continue;
    for (int i = 0; i < area_point_count; ++i) {
      const StaticField::Vector b = field.flux_density(solution, static_cast<int>(t), rule[i].l1, rule[i].l2);
      samples[part].emplace_back(std::hypot(b.x, b.y), record.point_area[t * area_point_count + i]);
    }
  }
  for (std::size_t i = 0; i < samples.size(); ++i) {
    record.parts[i].percentile99 = std::max(record.parts[i].percentile99, percentile_by_area(samples[i], 0.99));
  }
}

void merge(FluxDensityRecord& record, const FluxDensityRecord& other) {
  for (std::size_t i = 0; i < record.parts.size(); ++i) {
    PartRecord& mine = record.parts[i];
    const PartRecord& theirs = other.parts[i];
    mine.at_third = std::max(mine.at_third, theirs.at_third);
    mine.percentile99 = std::max(mine.percentile99, theirs.percentile99);
    for (std::size_t k = 0; k < theirs.each.size(); ++k) take_next(mine.each, k, theirs.each[k]);
    for (std::size_t k = 0; k < theirs.each_third.size(); ++k) take_next(mine.each_third, k, theirs.each_third[k]);
    // At equal values the smaller angle stands, so the result does not depend on how threads shared the angles.
    const bool worse =
        theirs.largest > mine.largest || (theirs.largest == mine.largest && theirs.worst_angle < mine.worst_angle);
    if (!theirs.found || (mine.found && !worse)) continue;
    mine.found = true;
    mine.largest = theirs.largest;
    mine.worst_name = theirs.worst_name;
    mine.worst_angle = theirs.worst_angle;
  }
}

FluxDensityTable flux_density_table(const FluxDensityRecord& record, const std::string& study, const Values& limits) {
  FluxDensityTable table{study, {}};
  for (const PartRecord& part : record.parts) {
    if (!part.found) continue;
    FluxDensityRow row;
    row.part = part_name(part.part);
    row.largest = part.largest;
    row.at_third = part.at_third;
    row.percentile99 = part.percentile99;
    row.worst_name = part.worst_name;
    row.worst_angle = part.worst_angle;
    row.each = part.each;
    row.each_third = part.each_third;
    if (limits.has(part_key(part.part))) row.limit = limits.number(part_key(part.part));
    table.rows.push_back(row);
  }
  return table;
}

std::vector<std::string> limit_warnings(const FluxDensityTable& table) {
  std::vector<std::string> warnings;
  for (const FluxDensityRow& row : table.rows) {
    if (!row.limit || row.largest <= *row.limit) continue;
    warnings.push_back(fmt::format("{}: {:.3f} T in {} at {:.4g} deg exceeds the limit of {:.3f} T", row.part,
                                   row.largest, row.worst_name, row.worst_angle * 180 / pi, *row.limit));
  }
  return warnings;
}

double percentile_by_area(std::vector<std::pair<double, double>>& samples, double share) {
  if (samples.empty()) return 0;
  std::sort(samples.begin(), samples.end());
  double total = 0, below = 0;
  for (const auto& [value, area] : samples) total += area;
  for (const auto& [value, area] : samples) {
    below += area;
    if (below >= share * total) return value;
  }
  return samples.back().first;
}

}  // namespace polepitch
