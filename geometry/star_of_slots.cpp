#include "geometry/star_of_slots.h"

#include <algorithm>
#include <map>
#include <numeric>

namespace polepitch {

namespace {

/// First slots of the coils: every slot with two layers. With one layer the slots must split into pairs `span` apart;
/// two ways are tried in turn: along the chains s, s + span, s + 2 span … (which gives whole phase belts at full
/// pitch), and every second slot.
std::vector<std::vector<int>> first_slots(const StarRequest& r) {
  std::vector<int> all(r.slots);
  std::iota(all.begin(), all.end(), 0);
  if (r.layers == 2) return {all};
  std::vector<std::vector<int>> ways;
  const int chains = std::gcd(r.slots, r.span);
  const int length = r.slots / chains;
  if (length % 2 == 0) {
    std::vector<int> chained;
    for (int chain = 0; chain < chains; ++chain)
      for (int k = 0; k < length; k += 2) chained.push_back((chain + k * r.span) % r.slots);
    std::sort(chained.begin(), chained.end());
    ways.push_back(chained);
  }
  if (r.slots % 2 == 0 && r.span % 2 == 1) {
    std::vector<int> alternate;
    for (int s = 0; s < r.slots; s += 2) alternate.push_back(s);
    ways.push_back(alternate);
  }
  return ways;
}

/// Phase and sign of each of `phases` zones of π/m. Odd m: phase axes 2π/m apart, every second zone is the negative
/// belt of the phase opposite (A −C B); even m: axes π/m apart, one zone each.
void belt(int zone, int phases, int& phase, int& sign) {
  const bool negative = phases % 2 == 1 && zone % 2 == 1;
  sign = negative ? -1 : 1;
  phase = phases % 2 == 0 ? zone : negative ? (zone + phases) / 2 : zone / 2;
}

/// Coil phasors folded onto half a turn are axes; each phase takes an equal share of neighbouring axes.
std::optional<std::vector<StarCoil>> share_out(const StarRequest& r, const std::vector<int>& from) {
  const auto half_steps = [&](int slot) {  // electrical angle of the slot in units of π/Q, 0 … 2Q − 1
    return static_cast<int>(2LL * r.pole_pairs * slot % (2LL * r.slots));
  };
  std::map<int, int> coils_on_axis;
  for (int slot : from) ++coils_on_axis[half_steps(slot) % r.slots];
  const int axes = static_cast<int>(coils_on_axis.size());
  if (axes % r.phases != 0) return std::nullopt;
  std::map<int, int> zone_of_axis;
  int index = 0;
  for (const auto& [axis, coils] : coils_on_axis) {
    // Equal steps of angle and equal numbers of coils, or the phases would differ.
    if (coils != coils_on_axis.begin()->second || axis * axes != index * r.slots) return std::nullopt;
    zone_of_axis[axis] = index++ / (axes / r.phases);
  }
  std::vector<StarCoil> coils;
  for (int slot : from) {
    StarCoil coil{slot, (slot + r.span) % r.slots, 0, 1};
    belt(zone_of_axis.at(half_steps(slot) % r.slots), r.phases, coil.phase, coil.sign);
    if (half_steps(slot) >= r.slots) coil.sign = -coil.sign;
    coils.push_back(coil);
  }
  return coils;
}

}  // namespace

std::optional<std::vector<StarCoil>> star_of_slots(const StarRequest& request) {
  const long long whole_pole_pairs = 1LL * request.span * request.pole_pairs % request.slots;
  if (request.span < 1 || request.span >= request.slots || whole_pole_pairs == 0) return std::nullopt;
  for (const std::vector<int>& from : first_slots(request))
    if (auto coils = share_out(request, from)) return coils;
  return std::nullopt;
}

int default_span(StarRequest request) {
  const int full_pitch = std::max(1, request.slots / (2 * request.pole_pairs));
  if (request.layers == 1)
    for (request.span = full_pitch; request.span >= 1; --request.span)
      if (star_of_slots(request)) return request.span;
  return full_pitch;
}

std::vector<int> nearest_slot_numbers(StarRequest request) {
  const int asked = request.slots, span = request.span;
  const auto works = [&](int slots) {
    request.slots = slots;
    request.span = span > 0 ? span : default_span(request);
    return star_of_slots(request).has_value();
  };
  std::vector<int> found;
  for (int slots = asked - 1; slots >= 2; --slots)
    if (works(slots)) {
      found.push_back(slots);
      break;
    }
  for (int slots = asked + 1; slots <= asked + 4 * request.phases * request.pole_pairs; ++slots)
    if (works(slots)) {
      found.push_back(slots);
      break;
    }
  return found;
}

}  // namespace polepitch
