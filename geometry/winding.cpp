#include "geometry/winding.h"

#include <algorithm>
#include <cmath>
#include <map>
#include <numeric>
#include <utility>

#include <fmt/format.h>
#include <fmt/ranges.h>

#include "geometry/coil_table.h"
#include "geometry/star_of_slots.h"

namespace polepitch {

namespace {

constexpr double two_pi = 6.28318530717958647692;

std::string describe(const StarRequest& r) {
  return fmt::format("{} phases, {} slots, {} poles, {} layer{}", r.phases, r.slots, 2 * r.pole_pairs, r.layers,
                     r.layers == 1 ? "" : "s");
}

/// Why the star has no balanced winding, in words.
std::string reason(const StarRequest& r) {
  if (r.span >= r.slots) return fmt::format("coil_span = {} must stay under the number of slots", r.span);
  if (1LL * r.span * r.pole_pairs % r.slots == 0)
    return fmt::format("coils that span {} slots enclose whole pole pairs and link no flux", r.span);
  if (r.layers == 1 && r.slots % 2 != 0)
    return fmt::format("one layer needs two slots a coil, and {} is an odd number", r.slots);
  const int distinct = r.slots / std::gcd(r.slots, r.pole_pairs);
  const int axes = distinct % 2 == 0 ? distinct / 2 : distinct;
  if (r.layers == 2 || axes % r.phases != 0)
    return fmt::format(
        "the slots see {} different phase angles of the field (reversed coils counted), which {} phases "
        "cannot share equally",
        axes, r.phases);
  return fmt::format("with one layer and coils that span {} slots, the coils cannot be shared equally among {} phases",
                     r.span, r.phases);
}

/// What to change: slot numbers, and with one layer the spans, that work.
std::string advice(StarRequest r, bool span_given) {
  std::vector<int> spans;
  const StarRequest asked = r;
  for (r.span = 1; r.span <= std::max(1, r.slots / r.pole_pairs); ++r.span)
    if (star_of_slots(r)) spans.push_back(r.span);
  if (!spans.empty()) return fmt::format("coil_span that works with these slots: {}", fmt::join(spans, ", "));
  r.span = span_given ? asked.span : 0;
  const std::vector<int> slots = nearest_slot_numbers(r);
  if (slots.empty()) return "change slots, poles or layers";
  return fmt::format("nearest stator.slots that work: {}", fmt::join(slots, " and "));
}

void add_star(const Block& winding, WindingLayout& layout) {
  StarRequest request{layout.slots, layout.pole_pairs, layout.phases, layout.layers, 1};
  const bool given = winding.values.has("coil_span");
  request.span = given ? winding.values.integer("coil_span") : default_span(request);
  const auto coils = star_of_slots(request);
  if (!coils)
    throw InputError(fmt::format("no balanced winding exists for {}: {}", describe(request), reason(request)),
                     advice(request, given), given ? winding.values.place("coil_span") : winding.place);
  for (int i = 0; i < static_cast<int>(coils->size()); ++i) {
    const StarCoil& c = (*coils)[i];
    layout.sides.push_back({c.from, layout.layers - 1, c.phase, -c.sign, i});
    layout.sides.push_back({c.to, 0, c.phase, c.sign, i});
  }
}

/// Turns the layout so that phase A's axis lies at angle 0 (the nearest of its p axes).
void align_with_phase_a(WindingLayout& layout) {
  layout.slot0_angle = 0;
  layout.slot0_angle = -std::arg(winding_factor(layout, layout.pole_pairs)) / layout.pole_pairs;
}

/// The phases' fundamentals must be equal and stand at their places: a table can break that, the star cannot.
void check_balance(const WindingLayout& layout, const Place& place) {
  std::vector<Diagnostic> faults;
  const std::complex<double> a = winding_factor(layout, layout.pole_pairs);
  int sides_of_a = 0;
  for (const CoilSide& side : layout.sides) sides_of_a += side.phase == 0;
  if (std::abs(a) < 1e-9)
    throw InputError("phase A links no flux of the working wave: it has no coils, or they cancel",
                     "check the phases and signs of coils", place);
  for (int k = 1; k < layout.phases; ++k) {
    const std::complex<double> factor = winding_factor(layout, layout.pole_pairs, k);
    int sides = 0;
    for (const CoilSide& side : layout.sides) sides += side.phase == k;
    const double wanted = phase_axis(layout.phases, k);
    const double off = std::remainder(std::arg(factor) - std::arg(a) - wanted, two_pi);
    if (sides != sides_of_a)
      faults.push_back({place,
                        fmt::format("phase {} has {} coils, phase A has {}", phase_name(k), sides / 2, sides_of_a / 2),
                        "all phases need equal numbers of coils"});
    else if (std::abs(std::abs(factor) - std::abs(a)) > 1e-9)
      faults.push_back({place,
                        fmt::format("the winding factor of phase {} is {:.5f}, that of phase A {:.5f}", phase_name(k),
                                    std::abs(factor), std::abs(a)),
                        "all phases need the same winding factor"});
    else if (std::abs(off) > 1e-9)
      faults.push_back(
          {place,
           fmt::format("the axis of phase {} stands {:.4g} electrical degrees counter-clockwise of "
                       "phase A's instead of {:.4g}",
                       phase_name(k), std::remainder(off + wanted, two_pi) * 360 / two_pi,
                       std::remainder(wanted, two_pi) * 360 / two_pi),
           "exchange two phases, or reverse this one, so that a positive sequence turns counter-clockwise"});
  }
  if (!faults.empty()) throw InputError(faults);
}

void check_paths(const WindingLayout& layout, const Block& winding) {
  const int groups = equal_paths(layout);
  if (groups % layout.parallel_paths == 0) return;
  std::vector<int> allowed;
  for (int a = 1; a <= groups; ++a)
    if (groups % a == 0) allowed.push_back(a);
  throw InputError(fmt::format("parallel_paths = {} does not divide the {} equal coil group{} of a phase",
                               layout.parallel_paths, groups, groups == 1 ? "" : "s"),
                   fmt::format("allowed: {}", fmt::join(allowed, ", ")), winding.values.place("parallel_paths"));
}

}  // namespace

int equal_paths(const WindingLayout& layout) {
  // Phasor of every coil of phase A at the working order, rounded far above rounding and far below a slot's angle.
  std::map<int, std::complex<double>> coils;
  for (const CoilSide& side : layout.sides) {
    if (side.phase != 0) continue;
    const long long slot = 1LL * layout.pole_pairs * side.slot % layout.slots;
    coils[side.coil] += std::polar(static_cast<double>(side.sign), two_pi * static_cast<double>(slot) / layout.slots);
  }
  std::map<std::pair<long long, long long>, int> alike;
  for (const auto& [coil, phasor] : coils)
    ++alike[{std::llround(phasor.real() * 1e8), std::llround(phasor.imag() * 1e8)}];
  int groups = 0;
  for (const auto& [phasor, number] : alike) groups = std::gcd(groups, number);
  return groups;
}

WindingLayout lay_out_winding(const Block& winding, int slots, int pole_pairs) {
  const Values& values = winding.values;
  WindingLayout layout;
  layout.phases = values.integer("phases");
  layout.slots = slots;
  layout.pole_pairs = pole_pairs;
  layout.layers = values.integer("layers");
  layout.turns_per_coil = values.integer("turns_per_coil");
  layout.parallel_paths = values.integer("parallel_paths");
  layout.strands = values.integer("strands");
  if (values.has("coils")) {
    std::vector<Diagnostic> faults;
    read_coil_table(values.table("coils"), values.place("coils"), layout, faults);
    if (!faults.empty()) throw InputError(faults);
  } else {
    add_star(winding, layout);
  }
  std::sort(layout.sides.begin(), layout.sides.end(), [](const CoilSide& a, const CoilSide& b) {
    return std::pair(a.slot, a.layer) < std::pair(b.slot, b.layer);
  });
  check_balance(layout, values.has("coils") ? values.place("coils") : winding.place);
  check_paths(layout, winding);
  align_with_phase_a(layout);
  return layout;
}

}  // namespace polepitch
