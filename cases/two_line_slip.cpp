#include "cases/two_line_slip.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "cases/study_tools.h"
#include "post/dq.h"

namespace polepitch {
namespace {

using Complex = std::complex<double>;
const double kRms = 1 / std::sqrt(2.0);
const char* const kMethod = "forward and backward field in series, gap coupling: fundamental";

struct TwoLinePoint {
  double slip = 0;
  SlipPoint forward, backward;  // at s and 2 − s, both fed with the same current
  double line_current = 0;      // A, r.m.s.
  double torque() const { return forward.field.torque - backward.field.torque; }
  double rotor_loss() const { return forward.field.rotor_loss() + backward.field.rotor_loss(); }
};

/// The current of both sequences at which their impedances in series take the voltage: the secant in the logarithms,
/// in one step for linear iron.
class SeriesCircuit {
 public:
  SeriesCircuit(const StudyContext& context, SlipRunner& runner, const CageSupply& supply)
      : context_(context), runner_(runner), supply_(supply) {}

  TwoLinePoint at(double slip) {
    last_.slip = slip;
    if (!begun_) log_i_ = std::log(per_unit_base(context_.kase.machine).current);
    double before = log_i_, f_before = excess(before);
    log_i_ = before - f_before;
    for (int k = 0; k < 30; ++k) {
      const double f = excess(log_i_);
      if (std::abs(f) < 1e-8) break;
      const double slope = std::clamp((f - f_before) / (log_i_ - before), 0.1, 2.0);
      before = log_i_, f_before = f;
      log_i_ -= f / slope;
    }
    const bool star = per_unit_base(context_.kase.machine).star;
    last_.line_current = kRms * std::exp(log_i_) * (star ? std::sqrt(3.0) : 3.0);
    return last_;
  }

 private:
  /// ln of the voltage that this current takes over the one at hand.
  double excess(double log_i) {
    last_.forward = field(last_.slip, log_i, last_.forward);
    last_.backward = field(2 - last_.slip, log_i, last_.backward);
    begun_ = true;
    return std::log(std::abs(last_.forward.field.voltage + last_.backward.field.voltage) / supply_.voltage);
  }
  SlipPoint field(double slip, double log_i, const SlipPoint& near) {
    CageExcitation e = excitation_of(supply_, slip);
    e.voltage_fed = false;
    e.supply = std::exp(log_i);
    return begun_ ? runner_.at(e, near) : runner_.at(std::vector<CageExcitation>{e}, 0, 0.1).front();
  }
  const StudyContext& context_;
  SlipRunner& runner_;
  const CageSupply& supply_;
  TwoLinePoint last_;
  double log_i_ = 0;
  bool begun_ = false;
};

struct Figures {
  double input = 0, shaft = 0, copper = 0, factor = 0, pulsation = 0;
};

Figures figures(const StudyContext& context, const CageSupply& supply, const TwoLinePoint& p) {
  Figures f;
  const Section& section = context.section;
  const double current = std::abs(p.forward.field.current);  // peak of each sequence in a phase
  const Complex power = 1.5 * current * (p.forward.field.voltage + p.backward.field.voltage);
  f.input = power.real();
  f.factor = power.real() / std::abs(power);
  f.shaft = p.torque() * (1 - p.slip) * supply.omega / section.pole_pairs;
  f.copper = 3 * supply.resistance * current * current;
  f.pulsation = 1.5 * section.pole_pairs * current * std::abs(p.forward.field.linkage - p.backward.field.linkage);
  return f;
}

void report(StudyResult& result, const StudyContext& context, const CageSupply& supply, const TwoLinePoint& p,
            const std::string& where) {
  const Figures f = figures(context, supply, p);
  Recorder out(result, context.name,
               {{"voltage", format_quantity(Kind::voltage, line_voltage(context.kase, supply.voltage), "V")},
                {"supply", "two lines"},
                {"point", where}},
               1);
  out.add("slip", p.slip, "given");
  out.add("torque_mean", p.torque(), kMethod).key_result = true;
  out.add("torque_forward", p.forward.field.torque, kMethod);
  out.add("torque_backward", -p.backward.field.torque, kMethod);
  out.add("torque_pulsation", f.pulsation, kMethod).key_result = true;
  out.add("I_line", p.line_current, kMethod).key_result = true;
  out.add("power_factor", f.factor, kMethod).key_result = true;
  out.add("P_shaft", f.shaft, "torque times speed");
  out.add("P_terminal", f.input, kMethod);
  if (f.shaft > 0)
    out.add("efficiency_cage", f.shaft / f.input, "without iron, friction and additional loss").key_result = true;
  out.add("copper_loss_stator", f.copper, "R I^2");
  out.add("cage_loss", p.rotor_loss(), "bars by field, rings and windings by their resistance");
  out.add("cage_power_balance",
          (f.input - f.copper - p.rotor_loss() - f.shaft) / per_unit_base(context.kase.machine).power,
          "terminal power less losses less shaft power");
}

/// `points` by rising slip.
ResultCurve curve_of(const StudyContext& context, const CageSupply& supply, const std::vector<TwoLinePoint>& points) {
  ResultCurve curve{
      context.name, "curve", "Torque, its forward and backward part and current on two lines, over slip", {}, false};
  Column slip{"slip", "", {}}, torque{"torque", "N m", {}}, forward{"torque_forward", "N m", {}},
      backward{"torque_backward", "N m", {}}, pulsation{"torque_pulsation", "N m", {}}, current{"I_line", "A", {}},
      factor{"power_factor", "", {}}, loss{"cage_loss", "W", {}};
  for (const TwoLinePoint& p : points) {
    const Figures f = figures(context, supply, p);
    slip.values.push_back(p.slip);
    torque.values.push_back(p.torque());
    forward.values.push_back(p.forward.field.torque);
    backward.values.push_back(-p.backward.field.torque);
    pulsation.values.push_back(f.pulsation);
    current.values.push_back(p.line_current);
    factor.values.push_back(f.factor);
    loss.values.push_back(p.rotor_loss());
  }
  curve.columns = {slip, torque, forward, backward, pulsation, current, factor, loss};
  return curve;
}

bool saturates(const StudyContext& context) {
  return std::any_of(context.section.regions.begin(), context.section.regions.end(),
                     [&](const Region& r) { return !context.kase.materials.at(r.material).b.empty(); });
}

}  // namespace

bool on_two_lines(const Block& study) {
  return study.values.has("supply") && study.values.text("supply") == "two-lines";
}

StudyResult two_line_slip(StudyContext& context, const Block& study) {
  const CageSlipRequest request = read_cage_slip(context.kase, context.section, study);
  SlipRunner runner(context, request.supply.ends, request.cage);
  SeriesCircuit circuit(context, runner, request.supply);
  std::vector<double> slips = request.slips;
  if (request.rated_slip != 0) slips.push_back(request.rated_slip);
  std::sort(slips.begin(), slips.end(), std::greater<>());
  slips.erase(std::unique(slips.begin(), slips.end()), slips.end());
  StudyResult result;
  std::vector<TwoLinePoint> points;
  for (double slip : slips) {
    context.progress(static_cast<double>(points.size()) / static_cast<double>(slips.size()));
    points.push_back(circuit.at(slip));
    if (slip == 1) report(result, context, request.supply, points.back(), "locked rotor");
    if (slip == request.rated_slip) report(result, context, request.supply, points.back(), "rated speed");
  }
  const auto most = std::max_element(points.begin(), points.end(), [](const TwoLinePoint& a, const TwoLinePoint& b) {
    return a.torque() < b.torque();
  });
  report(result, context, request.supply, *most, "largest torque of the slips");
  result.frames.push_back(runner.frame(most->forward, 0));
  std::reverse(points.begin(), points.end());
  if (points.size() > 1) result.results.curves.push_back(curve_of(context, request.supply, points));
  if (saturates(context))
    result.results.warnings.push_back(context.name +
                                      ": forward and backward field each saturate by themselves here, and add up; that "
                                      "is exact for linear iron alone");
  warn_of_supply(result, context.name, request.supply);
  return result;
}

}  // namespace polepitch
