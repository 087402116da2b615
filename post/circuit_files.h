// Circuit models as files, each made from what circuit.json holds (post/circuit_model.h): SPICE, Modelica, MAT, CIM
// RDF/XML, CSV. The functions give the text; write_circuit_files puts all of them into a folder.
#pragma once

#include <string>
#include <vector>

#include "post/circuit_model.h"

namespace polepitch {

struct CircuitFile {
  std::string name, text;
};

/// Subcircuits of a three-phase machine. `machine_map_F.cir` (and its four tables) for each field current of each map:
/// linkages are states, currents come from the inverse map, torque from the forward one. `machine_linear_N.cir` for
/// each state of a machine with a field winding: constant inductances, with terminals of the field winding.
/// Pins a b c n (delta: a b c) [f1 f2] speed torque; speed in rad/s and torque in N m as voltages. Other phase numbers:
/// nothing.
std::vector<CircuitFile> spice_files(const CircuitModel& model);

/// Part of them: `machine_field_N.cir` of a map over several field currents, with terminals of the field winding: all
/// three linkages are states, the currents those at which the forward maps have them. Its tables are those of
/// `machine_map_F` for F from `first_plane` on.
CircuitFile spice_field_file(const CircuitModel& model, const CircuitMap& entry, int number, int first_plane,
                             double resistance, double field_resistance);

/// Part of them: for each induction circuit `machine_induction_N.cir`, the machine with its pins as above, and
/// `machine_induction_N_phase.cir`, one phase with the slip as a parameter.
std::vector<CircuitFile> spice_induction_files(const CircuitModel& model);

/// `machine_dynamic_N.cir` for each frequency response: stator and rotor circuits of both axes, with terminals of the
/// field winding where there is one; starts from the field current `if0`. A part of spice_files.
std::vector<CircuitFile> spice_dynamic_files(const CircuitModel& model);

/// `machine_data.mo`, a package of records, and `flux_maps.txt`, tables for a two-dimensional table block (first
/// column u1 = i_d, first row u2 = i_q). Written, not compiled.
std::vector<CircuitFile> modelica_files(const CircuitModel& model);

/// `machine.rdf`: SynchronousMachineEquivalentCircuit and SynchronousMachineTimeConstantReactance with the attribute
/// names of IEC 61970-302, per unit, of the first state; of an induction machine
/// AsynchronousMachineEquivalentCircuit and AsynchronousMachineTimeConstantReactance of the circuit with most cages
/// that has a T form. Nothing where there is no rating, or neither state nor circuit.
std::vector<CircuitFile> cim_files(const CircuitModel& model);
std::vector<CircuitFile> cim_asynchronous_files(const CircuitModel& model);  // its part of induction machines

/// `parameters.csv`, and each map and its inverse; lines beginning with # state units, base and signs.
std::vector<CircuitFile> csv_files(const CircuitModel& model);

/// `machine.mat`, MATLAB-5 arrays as other libraries read them: structure `parameters` of the first state, arrays of
/// the maps (i_d × i_q × i_f). Throws FileError.
void write_mat(const CircuitModel& model, const std::string& path);

/// Everything, and circuit.json first: the others are made from its text read back. Throws FileError.
void write_circuit_files(const CircuitModel& model, const std::string& directory);

}  // namespace polepitch
