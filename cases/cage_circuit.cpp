#include "cases/cage_circuit.h"

#include <algorithm>
#include <cmath>

#include "cases/study_tools.h"
#include "post/dq.h"

namespace polepitch {
namespace {

struct Parted {
  std::vector<FieldAtSlip> all, fitted, kept_back;  // motoring
};

Parted part(const std::vector<FieldAtSlip>& points) {
  Parted p;
  for (const FieldAtSlip& at : points)
    if (at.slip > 0) p.all.push_back(at);
  for (size_t k = 0; k < p.all.size(); ++k) (k % 2 == 0 ? p.fitted : p.kept_back).push_back(p.all[k]);
  return p;
}

/// Largest difference of torque over the largest torque.
double deviation(const InductionCircuit& c, double voltage, const Parted& parted) {
  double most = 0, worst = 0;
  for (const FieldAtSlip& p : parted.all) most = std::max(most, std::abs(p.torque));
  for (const FieldAtSlip& p : parted.kept_back)
    worst = std::max(worst, std::abs(circuit_at(c, p.slip, voltage).torque - p.torque));
  return worst / most;
}

void report(StudyResult& result, const StudyContext& context, const InductionCircuit& c, const std::string& name,
            double kept_back, double off) {
  Recorder out(result, context.name, {{"circuit", name + ", inverse-gamma form"}}, 1);
  const std::string how = "least squares over every second motoring slip";
  out.add("circuit_frequency", c.omega / (2 * pi), "given").exact = true;
  out.add("circuit_R_1", c.r_1, "given").exact = true;
  out.add("circuit_X_sigma", c.x_1, how);
  out.add("circuit_X_M", c.x_m, how);
  out.add("circuit_R_a", c.r_a, how);
  if (c.cages == 2) {
    out.add("circuit_R_b", c.r_b, how);
    out.add("circuit_X_b", c.x_b, how);
  }
  out.add("fit_points_kept_back", kept_back, "given").exact = true;
  out.add("circuit_torque_deviation", off, "at the slips between those of the fit").key_result = true;
  Recorder form(result, context.name, {{"circuit", name + ", T form"}}, 1);
  const InductionCircuit t = to_t_form(c, 0.5 * c.x_1);
  const std::string from = "of the inverse-gamma form, half its leakage in the stator";
  form.add("circuit_frequency", t.omega / (2 * pi), "given").exact = true;
  form.add("circuit_R_1", t.r_1, "given").exact = true;
  form.add("circuit_X_1", t.x_1, from);
  form.add("circuit_X_m", t.x_m, from);
  form.add("circuit_X_2", t.x_2, from);
  form.add("circuit_R_a", t.r_a, from);
  if (t.cages == 2) {
    form.add("circuit_R_b", t.r_b, from);
    form.add("circuit_X_b", t.x_b, from);
  }
}

void add_columns(ResultCurve& curve, const InductionCircuit& c, double voltage, const std::vector<FieldAtSlip>& points,
                 const std::string& name) {
  Column torque{"torque_" + name, "N m", {}}, current{"I_" + name, "A", {}};
  for (const FieldAtSlip& p : points) {
    const CircuitPoint at = circuit_at(c, p.slip, voltage);
    torque.values.push_back(at.torque);
    current.values.push_back(std::abs(at.current) / std::sqrt(2.0));
  }
  curve.columns.push_back(torque);
  curve.columns.push_back(current);
}

/// The circuits' torque less the field's over the largest, at the slips that no fit used.
ResultCurve deviation_curve(const StudyContext& context, const std::vector<InductionCircuit>& circuits, double voltage,
                            const Parted& parted) {
  ResultCurve curve{context.name,
                    "deviation",
                    "Torque of the fitted circuits less the field's, over the largest, at slips outside of the fit",
                    {},
                    false};
  double most = 0;
  for (const FieldAtSlip& p : parted.all) most = std::max(most, std::abs(p.torque));
  Column slip{"slip", "", {}};
  for (size_t k = parted.kept_back.size(); k-- > 0;) slip.values.push_back(parted.kept_back[k].slip);
  curve.columns = {slip};
  for (const InductionCircuit& c : circuits) {
    Column off{c.cages == 1 ? "deviation_single_cage" : "deviation_double_cage", "", {}};
    for (size_t k = parted.kept_back.size(); k-- > 0;) {
      const FieldAtSlip& p = parted.kept_back[k];
      off.values.push_back((circuit_at(c, p.slip, voltage).torque - p.torque) / most);
    }
    curve.columns.push_back(off);
  }
  return curve;
}

}  // namespace

InductionCircuit circuit_frame(const Section& section, const CageSupply& supply) {
  InductionCircuit c;
  c.phases = phase_count(section);
  c.pole_pairs = section.pole_pairs;
  c.omega = supply.omega;
  c.r_1 = supply.resistance;
  return c;
}

void add_circuits(StudyResult& result, const StudyContext& context, InductionCircuit given, double voltage,
                  const std::vector<FieldAtSlip>& points) {
  Parted parted = part(points);
  if (parted.fitted.size() < 3 || parted.kept_back.empty()) return;
  std::vector<FieldAtSlip> rising = parted.all;
  std::reverse(rising.begin(), rising.end());
  ResultCurve curve{
      context.name, "circuit", "Torque and current of the field and of circuits fitted to it, over slip", {}, false};
  Column slip{"slip", "", {}}, torque{"torque", "N m", {}}, current{"I_phase", "A", {}};
  for (const FieldAtSlip& p : rising) {
    slip.values.push_back(p.slip);
    torque.values.push_back(p.torque);
    current.values.push_back(std::abs(p.current) / std::sqrt(2.0));
  }
  curve.columns = {slip, torque, current};
  std::vector<InductionCircuit> circuits;
  for (given.cages = 1; given.cages <= 2; ++given.cages) {
    if (parted.fitted.size() < 3 * static_cast<size_t>(given.cages)) break;
    const InductionCircuit c = fit_circuit(given, voltage, parted.fitted);
    report(result, context, c, given.cages == 1 ? "single cage" : "double cage",
           static_cast<double>(parted.kept_back.size()), deviation(c, voltage, parted));
    circuits.push_back(c);
    add_columns(curve, c, voltage, rising, given.cages == 1 ? "single_cage" : "double_cage");
  }
  result.results.curves.push_back(curve);
  if (parted.kept_back.size() > 1) result.results.curves.push_back(deviation_curve(context, circuits, voltage, parted));
}

}  // namespace polepitch
