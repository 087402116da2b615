#include "post/quantity_list.h"

#include <stdexcept>
#include <utility>

#include "post/characteristic_quantities.h"
#include "post/chart_quantities.h"
#include "post/induction_quantities.h"
#include "post/map_quantities.h"
#include "post/response_quantities.h"
#include "post/stepping_quantities.h"

namespace polepitch {

namespace {

std::vector<QuantityDefinition> gap_and_torque() {
  return {
      {"B_r1", "T", "Amplitude of the radial air-gap flux density of mechanical order p on the mean gap circle."},
      {"B_theta1", "T",
       "Amplitude of the tangential air-gap flux density of mechanical order p on the mean gap circle."},
      {"B_r_peak", "T", "Largest magnitude of the radial air-gap flux density on the mean gap circle."},
      {"B_r_mean", "T", "Mean magnitude of the radial air-gap flux density on the mean gap circle."},
      {"B_r_harmonic_content", "",
       "Root of the sum of squares of all radial orders but the fundamental, over the fundamental, on the mean gap "
       "circle."},
      {"B_r_forward", "T", "Amplitude of the part of B_r of order p that turns with the supply's phase sequence."},
      {"n_field", "rpm",
       "Speed at which the fundamental of B_r turns at rated frequency, from its angle against the supply's phase; "
       "negative against the counter-clockwise sense."},
      {"B_r_backward", "T", "Amplitude of the part of B_r of order p that turns against the supply's phase sequence."},
      {"torque_mean", "N m",
       "Torque on the rotor, (L r^2/mu_0) times the integral of B_r B_theta, mean over the positions."},
      {"torque_ripple", "N m", "Peak to peak of the torque over the positions."},
      {"torque_max", "N m",
       "Largest static torque at held currents, slot ripple included; torque_mean beside it is the mean over positions "
       "at the same torque angle."},
      {"torque_max_angle", "deg",
       "Torque angle (electrical, arg F_s - arg F_r) at which the static torque is largest."},
      {"torque_cogging", "N m", "Peak to peak of the torque without current over one cogging period."},
      {"torque_virtual_work_stator", "N m", "Torque by nodal virtual work in the stator's elements; checks the code."},
      {"torque_virtual_work_rotor", "N m", "Torque by nodal virtual work in the rotor's elements; checks the code."},
      {"torque_arkkio_stator", "N m",
       "Torque by Arkkio's volume integral on the stator's side of the gap; a diagnostic that suffers on graded "
       "meshes."},
      {"torque_arkkio_rotor", "N m",
       "Torque by Arkkio's volume integral on the rotor's side of the gap; a diagnostic that suffers on graded "
       "meshes."},
      {"torque_dq", "N m", "(m/2) p (lambda_d i_q - lambda_q i_d); equals the torque in the mean over positions."},
  };
}

std::vector<QuantityDefinition> linkages_and_mmf() {
  return {
      {"i_d", "A", "d-axis component of the phase currents, peak, amplitude-invariant."},
      {"i_q", "A",
       "q-axis component of the phase currents, peak, amplitude-invariant; q leads d by 90 degrees electrical."},
      {"i_field", "A", "Direct current of the field winding."},
      {"lambda_d", "Wb",
       "d-axis component of the phase flux linkages, peak, end winding included where its inductance is known."},
      {"lambda_q", "Wb",
       "q-axis component of the phase flux linkages, peak, end winding included where its inductance is known."},
      {"lambda_0", "Wb", "Zero-sequence component of the phase flux linkages."},
      {"lambda_field", "Wb", "Flux linkage of the field winding, end winding not included."},
      {"E_phase", "V",
       "Root mean square of the fundamental phase voltage that the phase linkages induce at rated frequency."},
      {"F_s", "A", "Fundamental MMF of the stator's currents on the gap circle, per pole, peak."},
      {"F_s_angle", "deg", "Electrical angle of the stator's MMF vector from the axis of phase A."},
      {"F_r", "A",
       "Fundamental MMF of the rotor's currents and magnets (as curl of nu times B_rem) on the gap circle, peak."},
      {"F_r_angle", "deg", "Electrical angle of the rotor's MMF vector from the axis of phase A."},
      {"torque_angle", "deg",
       "arg F_s - arg F_r, electrical, positive motoring; from the rotor's d-axis where the rotor has no source."},
      {"Phi_s", "Wb",
       "Fundamental gap flux per pole of the stator's sources alone, reluctivity frozen at the operating point."},
      {"Phi_r", "Wb",
       "Fundamental gap flux per pole of the rotor's sources alone, reluctivity frozen at the operating point."},
      {"Phi_gap", "Wb", "Fundamental gap flux per pole of the field; the vector sum of Phi_s and Phi_r."},
      {"torque_uniform_gap", "N m",
       "p pi mu_0 r L F_s F_r sin(torque angle)/g in the uniform gap that F_r and its flux Phi_r imply; its difference "
       "from "
       "the torque shows slots, saliency and saturation."},
      {"equivalent_gap", "m", "mu_0 F/B_r1 of the rotor's source (of the stator's where the rotor has none)."},
  };
}

std::vector<QuantityDefinition> reactance_quantities() {
  return {
      {"X_d_apparent", "ohm",
       "Reactance of a unit d-axis current in the field frozen at the operating point, end winding included."},
      {"X_q_apparent", "ohm",
       "Reactance of a unit q-axis current in the field frozen at the operating point, end winding included."},
      {"X_dq_apparent", "ohm",
       "d-axis linkage of a unit q-axis current in the frozen field, times the angular frequency."},
      {"X_qd_apparent", "ohm",
       "q-axis linkage of a unit d-axis current in the frozen field, times the angular frequency."},
      {"X_d_incremental", "ohm",
       "Angular frequency times d(lambda_d)/d(i_d) at the operating point, end winding included."},
      {"X_q_incremental", "ohm",
       "Angular frequency times d(lambda_q)/d(i_q) at the operating point, end winding included."},
      {"X_dq_incremental", "ohm", "Angular frequency times d(lambda_d)/d(i_q) at the operating point."},
      {"X_qd_incremental", "ohm", "Angular frequency times d(lambda_q)/d(i_d) at the operating point."},
      {"X_ad", "ohm", "d-axis armature-reaction reactance, X_d_apparent - X_l."},
      {"X_aq", "ohm", "q-axis armature-reaction reactance, X_q_apparent - X_l."},
      {"X_l", "ohm", "The one stated stator leakage reactance: mean of its d and q values unless the case gives it."},
      {"X_l_d", "ohm",
       "Stator leakage reactance seen by a d-axis current: slot, tooth-tip, differential and end winding."},
      {"X_l_q", "ohm",
       "Stator leakage reactance seen by a q-axis current: slot, tooth-tip, differential and end winding."},
      {"X_slot_d", "ohm", "Slot part: mean A over the coil side minus A at the slot's mouth, d-axis current."},
      {"X_slot_q", "ohm", "Slot part: mean A over the coil side minus A at the slot's mouth, q-axis current."},
      {"X_tooth_tip_d", "ohm",
       "Tooth-tip part: A at the slot's mouth minus A on the mean gap circle under it, d-axis current."},
      {"X_tooth_tip_q", "ohm",
       "Tooth-tip part: A at the slot's mouth minus A on the mean gap circle under it, q-axis current."},
      {"X_differential_d", "ohm",
       "Differential part: all orders of the gap field but the fundamental, d-axis current."},
      {"X_differential_q", "ohm",
       "Differential part: all orders of the gap field but the fundamental, q-axis current."},
      {"X_magnetising_d", "ohm", "Magnetising part: fundamental of the gap field, d-axis current."},
      {"X_magnetising_q", "ohm", "Magnetising part: fundamental of the gap field, q-axis current."},
      {"X_end_winding", "ohm",
       "End-winding leakage reactance of a phase by the published formula that the method names."},
      {"X_df", "ohm", "Angular frequency times the d-axis linkage of one ampere of field current in the frozen field."},
      {"X_m", "ohm",
       "Magnetising reactance of an induction machine: fundamental gap linkage over the magnetising current."},
      {"X_1", "ohm", "Stator leakage reactance by the split of the field (not by a test), end winding included."},
      {"i_magnetising", "A", "Peak of the magnetising phase current."},
      {"U_magnetising", "V",
       "Root mean square of the phase voltage at rated frequency that the whole linkage induces."},
  };
}

std::vector<QuantityDefinition> load_quantities() {
  return {
      {"U_phase", "V", "Terminal voltage of a phase, r.m.s. of the fundamental."},
      {"I_phase", "A", "Phase current, r.m.s."},
      {"P_terminal", "W", "Active power at the terminals: into a motor's, out of a generator's."},
      {"Q_terminal", "var",
       "Reactive power at the terminals, inductive positive: into a motor's, out of a generator's (positive: an "
       "under-excited motor, an over-excited generator)."},
      {"power_factor", "", "Active over apparent power at the terminals."},
      {"P_shaft", "W", "Torque on the rotor times synchronous speed: out of a motor's shaft, into a generator's."},
      {"power_balance", "",
       "Power into the terminals less armature copper loss less torque times synchronous speed, over rated apparent "
       "power; what the mean over positions leaves."},
      {"load_angle", "deg",
       "arg U - arg E (terminal voltage against the q-axis, on which the field's EMF lies), electrical, positive "
       "motoring."},
      {"E_0", "V", "Phase voltage on no load at the same field current, r.m.s. of the fundamental."},
      {"E_frozen", "V",
       "Phase EMF of the field's sources alone, reluctivity frozen at the load point, r.m.s. of the fundamental."},
      {"pull_out_torque", "N m",
       "Largest mean torque on the rotor over the load angle at held terminal voltage and field current, its "
       "magnitude."},
      {"pull_out_angle", "deg", "Load angle of the pull-out torque, positive motoring."},
      {"pull_out_power", "W", "Power at the terminals at the pull-out torque: into a motor's, out of a generator's."},
      {"pull_out_ratio", "", "Pull-out torque over the torque of the load point."},
      {"two_reactance_pull_out_torque", "N m",
       "Largest torque of the two-reactance curve with E, X_d and X_q of the named state."},
      {"two_reactance_pull_out_angle", "deg", "Load angle at the largest torque of the two-reactance curve."},
      {"two_reactance_deviation", "",
       "Largest difference of the two-reactance torque from the field's between pull-out of a generator and of a "
       "motor, over the pull-out torque."},
      {"curve_error", "",
       "Torque of the interpolated curve at the searched pull-out angle less the pull-out torque, over the latter."},
      {"inertia", "kg m2", "Moment of inertia of everything that turns, of the swing."},
      {"swing_load", "N m", "Shaft torque of the swing, against motoring."},
      {"swing_slip_time", "s",
       "Time from the step of the load until the load angle is half a turn past its start: synchronism is lost."},
      {"swing_largest_angle", "deg", "Largest magnitude of the load angle in a swing that keeps synchronism."},
  };
}

/// "X_d_apparent" in ohm → "x_d_apparent" in per unit, "R_fd" → "r_fd".
std::vector<QuantityDefinition> per_unit(const std::vector<QuantityDefinition>& reactances) {
  std::vector<QuantityDefinition> list;
  for (const QuantityDefinition& reactance : reactances) {
    if (reactance.unit != "ohm" || reactance.name == "X_df") continue;  // x_df is x_ad in the reciprocal system
    const char small = reactance.name.front() == 'R' ? 'r' : 'x';
    list.push_back(
        {small + reactance.name.substr(1), "pu", reactance.name + " over the base impedance of the rating."});
  }
  return list;
}

std::vector<QuantityDefinition> flux_density_quantities() {
  std::vector<QuantityDefinition> list;
  const std::pair<const char*, const char*> parts[] = {{"stator_tooth", "stator tooth"}, {"stator_yoke", "stator yoke"},
                                                       {"rotor_tooth", "rotor tooth"},   {"rotor_yoke", "rotor yoke"},
                                                       {"pole_core", "pole core"},       {"pole_shoe", "pole shoe"},
                                                       {"bridge", "bridge or rib"}};
  list.push_back({"demagnetised_share", "",
                  "Share of the magnets' area where the field strength along the magnetisation is past the knee."});
  list.push_back({"knee_reached", "",
                  "Field strength against the magnetisation that 99 % of the magnets' area stays under, over that of "
                  "the knee: 1 is "
                  "the knee. What lies above, in corners, is part of demagnetised_share."});
  for (const auto& [key, words] : parts) {
    list.push_back(
        {std::string("B_") + key, "T",
         std::string("Largest flux through a section of any ") + words + " over its width and the stack length."});
    const std::string_view part = key;
    if (part.ends_with("tooth") || part == "pole_core")
      list.push_back({std::string("B_") + key + "_third", "T",
                      std::string("Flux density of the ") + words + " at a third of its height from its narrow end."});
    list.push_back(
        {std::string("B_") + key + "_p99", "T", std::string("99th percentile by area of |B| in the ") + words + "."});
  }
  return list;
}

std::vector<QuantityDefinition> winding_quantities() {
  return {
      {"winding_factor", "", "Winding factor of the fundamental: pitch factor times distribution factor."},
      {"turns_in_series", "", "Turns in series of a phase and path."},
      {"slot_fill", "", "Copper area over slot area, largest over the slots."},
      {"R_phase", "ohm", "Direct-current resistance of a phase at the stated temperature."},
      {"R_field", "ohm", "Direct-current resistance of the field winding at the stated temperature."},
      {"J_phase", "A/mm2", "Root mean square of the current density in the phase conductors."},
      {"J_field", "A/mm2", "Current density in the field winding's conductors."},
      {"copper_loss_stator", "W", "Direct-current loss of all phases at their r.m.s. currents."},
      {"copper_loss_field", "W", "Direct-current loss of the field winding."},
      {"mass_stator_core", "kg", "Mass of the stator's laminations."},
      {"mass_rotor_core", "kg", "Mass of the rotor's laminations or core."},
      {"mass_stator_copper", "kg", "Mass of the stator's conductors, end windings included."},
      {"mass_rotor_copper", "kg", "Mass of the field winding's conductors, end windings included."},
      {"mass_cage", "kg", "Mass of the cage's bars, rings not included."},
      {"mass_magnets", "kg", "Mass of the magnets."},
  };
}

std::vector<QuantityDefinition> mesh_quantities() {
  return {
      {"triangles_per_pole", "", "Triangles of both sides per pole of the whole machine."},
      {"meshes_solved", "", "Meshes of the adaption, from the first to the one that the studies run on."},
      {"mesh_moved", "",
       "Of a variation: 1 where its mesh is that of the file's own machine with the nodes moved, 0 where it was made "
       "anew."},
      {"torque_error", "",
       "Estimated error of torque on the adapted mesh, over rated torque; root of the mean square over the adaption's "
       "states."},
      {"linkage_error", "",
       "Estimated error of flux linkages on the adapted mesh, over the largest; root of the mean square over the "
       "adaption's states."},
      {"mesh_smallest_angle", "deg", "Smallest angle between the straight sides of any triangle."},
      {"mesh_mean_shape", "", "Mean of twice the inscribed over the circumscribed radius; 1 is equilateral."},
      {"mesh_worst_shape", "", "Smallest of twice the inscribed over the circumscribed radius of any triangle."},
  };
}

std::vector<QuantityDefinition> whole_list() {
  std::vector<QuantityDefinition> list = gap_and_torque();
  std::vector<QuantityDefinition> reactances = reactance_quantities();
  for (const QuantityDefinition& reactance : characteristic_reactances()) reactances.push_back(reactance);
  for (const QuantityDefinition& reactance : response_reactances()) reactances.push_back(reactance);
  for (const auto& group :
       {linkages_and_mmf(), map_quantities(), load_quantities(), flux_density_quantities(), reactances,
        per_unit(reactances), characteristic_quantities(), response_quantities(), chart_quantities(),
        stepping_quantities(), induction_quantities(), winding_quantities(), mesh_quantities()}) {
    list.insert(list.end(), group.begin(), group.end());
  }
  return list;
}

}  // namespace

const std::vector<QuantityDefinition>& quantity_list() {
  static const std::vector<QuantityDefinition> list = whole_list();
  return list;
}

const QuantityDefinition& quantity_definition(std::string_view name) {
  for (const QuantityDefinition& entry : quantity_list()) {
    if (entry.name == name) return entry;
  }
  throw std::logic_error("no definition of the quantity " + std::string(name));
}

Quantity quantity(std::string_view name, double value, std::string method) {
  const QuantityDefinition& definition = quantity_definition(name);
  Quantity result;
  result.name = definition.name;
  result.unit = definition.unit;
  result.definition = definition.definition;
  result.method = std::move(method);
  result.value = value;
  return result;
}

}  // namespace polepitch
