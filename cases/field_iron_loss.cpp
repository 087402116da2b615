#include "cases/field_iron_loss.h"

#include <algorithm>
#include <cmath>
#include <utility>

#include "cases/field_map.h"
#include "cases/skew.h"
#include "cases/sweep.h"
#include "post/dq.h"

namespace polepitch {

void check_iron_loss(const Case& kase, const Section& section, const Block& study) {
  const std::string name = core_without_loss(section, kase.materials);
  if (name.empty()) return;
  throw InputError("iron loss is asked for, but the material \"" + name + "\" of a core states no coefficients",
                   "add a table [iron_loss] to its file " + name + ".toml, or take another material" +
                       (study.values.has("iron_loss") ? "; iron_loss = false leaves it out" : ""),
                   study.place);
}

Parameter optional_loss_positions() {
  return {.name = "loss_positions",
          .form = Form::integer,
          .lower = 6,
          .upper = 720,
          .optional = true,
          .sentence =
              "Rotor positions of a pole pitch from which the iron loss at rated frequency is made; without it "
              "no iron loss is solved."};
}

void report_iron_loss(Recorder& out, const IronLoss& loss) {
  const std::string how = "locus of B in every element, three terms";
  out.add("iron_loss", loss.total(), how).key_result = true;
  for (const auto& [name, side] : {std::pair{"iron_loss_stator", loss.stator}, {"iron_loss_rotor", loss.rotor}}) {
    Quantity& q = out.add(name, side.total(), how);
    q.key_result = true;
    q.candidates = {side.hysteresis, side.classical, side.excess};  // their differences may cancel by luck
  }
  IronLossParts sum = loss.stator;
  sum.add(loss.rotor);
  out.add("hysteresis_loss", sum.hysteresis, how).key_result = true;
  out.add("classical_loss", sum.classical, how).key_result = true;
  out.add("excess_loss", sum.excess, how).key_result = true;
}

namespace {

/// Of a machine that is everywhere as in the slice whose rotor stands `offset` ahead of the middle.
IronLoss loss_of_slice(StudyContext& context, const std::array<double, 3>& currents, int per_half_period,
                       double frequency, double offset, double from, double to) {
  const Section& section = context.section;
  IronLossRecord record(context.fields.of(0), context.kase.materials, per_half_period);
  std::vector<Excitation> points;
  for (int k = 0; k < record.positions(); ++k)
    points.push_back(dq_excitation(section, {currents[0], currents[1], 0}, currents[2], k * record.step(section)));
  sweep(
      context, in_slices(points, {offset}),
      [&](const SolvedPoint& at) { record.add(static_cast<int>(at.index), at.field, at.solution); }, from, to);
  return record.loss(frequency);
}

}  // namespace

IronLoss solve_iron_loss(StudyContext& context, const std::array<double, 3>& currents, int per_half_period,
                         double frequency, double from, double to) {
  const std::vector<double> offsets = skew_offsets(context.kase);
  const double share = 1 / static_cast<double>(offsets.size()), span = share * (to - from);
  IronLoss mean;
  for (size_t k = 0; k < offsets.size(); ++k) {
    const double begin = from + span * static_cast<double>(k);
    const IronLoss slice =
        loss_of_slice(context, currents, per_half_period, frequency, offsets[k], begin, begin + span);
    mean.stator.add(slice.stator, share);
    mean.rotor.add(slice.rotor, share);
  }
  return mean;
}

IronLossParts IronLossMap::at(double i_d, double i_q, double ratio) const {
  if (empty_) return {};
  return IronLossParts{hysteresis_.at(i_d, i_q), classical_.at(i_d, i_q), excess_.at(i_d, i_q)}.at_speed(ratio);
}

IronLossMap solve_iron_loss_map(StudyContext& context, const std::vector<double>& i_d, const std::vector<double>& i_q,
                                double i_f, int per_half_period, double frequency, double from, double to) {
  const std::vector<std::array<double, 3>> off = points_off_grid({i_d, i_q, {i_f}}, 3);
  const double step = (to - from) / static_cast<double>(i_d.size() * i_q.size() + off.size());
  double now = from;
  const auto solve = [&](const std::array<double, 3>& currents) {
    const IronLoss loss = solve_iron_loss(context, currents, per_half_period, frequency, now, now + step);
    now += step;
    IronLossParts sum = loss.stator;
    sum.add(loss.rotor);
    return sum;
  };
  std::vector<double> hysteresis, classical, excess;
  double largest = 0;
  for (double q : i_q)
    for (double d : i_d) {
      const IronLossParts loss = solve({d, q, i_f});
      hysteresis.push_back(loss.hysteresis);
      classical.push_back(loss.classical);
      excess.push_back(loss.excess);
      largest = std::max(largest, loss.total());
    }
  IronLossMap map;
  map.hysteresis_ = SplineSurface(i_d, i_q, hysteresis);
  map.classical_ = SplineSurface(i_d, i_q, classical);
  map.excess_ = SplineSurface(i_d, i_q, excess);
  map.empty_ = false;
  for (const std::array<double, 3>& i : off)
    map.error = std::max(map.error, std::abs(solve(i).total() - map.at(i[0], i[1], 1).total()) / largest);
  return map;
}

}  // namespace polepitch
