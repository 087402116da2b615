// What feeds a machine with a cage, shared by every study of one: supply, phase resistance, coil ends, end rings and
// overhang.
#pragma once

#include <string>
#include <vector>

#include "cases/study.h"
#include "solver/cage_field.h"

namespace polepitch {

struct CageSupply {
  double omega = 0;           // rad/s
  double voltage = 0;         // V, peak, of a phase
  double resistance = 0;      // ohm per phase
  double end_inductance = 0;  // H per phase
  CageEnds ends;
  bool has_bars = false;
  double rotor_resistance = 0;  // ohm per phase of a wound rotor, what stands outside of it included
  double rotor_end_inductance = 0;
};

/// voltage, external_resistance, phase_resistance.
std::vector<Parameter> cage_supply_parameters();
/// frequency, of every study with a supply.
Parameter frequency_parameter(const std::string& sentence);

/// A line-to-line r.m.s. voltage as peak of a phase, and back.
double phase_peak(const Case& kase, double line_voltage);
double line_voltage(const Case& kase, double phase_peak);

/// `what`: "a no-load study". Throws InputError where the machine has no winding, no bars or no rating.
void check_cage_machine(const Case& kase, const Section& section, const Block& study, const std::string& what);

/// Rated where the study states no voltage or frequency.
CageSupply read_cage_supply(const Case& kase, const Section& section, const Block& study);

/// Slip of the rating's speed at rated frequency; 0 where it states none.
double rated_slip(const Case& kase, const Section& section);

/// The supply's voltage held at a slip.
CageExcitation excitation_of(const CageSupply& supply, double slip);

/// Warns of rings or phases that are taken without resistance.
void warn_of_supply(StudyResult& result, const std::string& study, const CageSupply& supply);

/// Largest edges of triangles in bars and solid parts [m], by region: 0.3 of the skin depth at `omega` [rad/s], which
/// leaves 1e-4 of a deep bar's resistance (tests), for an accuracy of 0.001 or finer; that error goes with the fourth
/// power, so a coarser accuracy takes longer edges, up to 0.7. No limit elsewhere.
std::vector<double> skin_limits(const Case& kase, const Section& section, double omega);

/// Currents of every branch at t = 0, the rotor's d-axis on phase A's.
Excitation currents_at_start(const Section& section, const CageSolution& solution);

/// What a mesh is adapted to: each point at two instants, from fields on a coarse mesh.
std::vector<Excitation> cage_states(const Case& kase, const Section& section, const CageEnds& ends,
                                    const std::vector<CageExcitation>& points);

}  // namespace polepitch
