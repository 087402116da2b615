// Field files for ParaView and other VTK readers: the whole section with the rotor turned and the annulus filled.
#pragma once

#include <filesystem>
#include <string>
#include <utility>
#include <vector>

#include "solver/static_field.h"

namespace polepitch {

/// XML unstructured grid (.vtu; appended, zlib, float32). Cells: the triangles of every sector (each owns its points:
/// nothing is averaged, neither across materials nor across elements), then quadrilaterals with arcs in the annulus.
/// Point arrays A_z [Wb/m], B [T], H [A/m] (vectors), J_z [A/m2], mu_r [1]; cell array region (index into
/// region_names; the annulus is the last); field data region_names, TimeValue [1]: the frame's number, rotor_angle_deg
/// [deg]. Units are in each array's UNITS_LABEL. All in the stator's frame.
std::string vtu_text(const StaticField& field, const Excitation& excitation, const StaticSolution& solution,
                     double frame = 0);

/// Throws FileError.
void write_vtu(const StaticField& field, const Excitation& excitation, const StaticSolution& solution, double frame,
               const std::filesystem::path& path);

/// Collection (.pvd) of field files, their names relative to it. `steps`: what a viewer shows as time, and the file;
/// `step_label` says in a comment there what that is, with its unit ("rotor angle in degrees"; no double hyphen).
std::string pvd_text(const std::vector<std::pair<double, std::string>>& steps, const std::string& step_label);
void write_pvd(const std::vector<std::pair<double, std::string>>& steps, const std::string& step_label,
               const std::filesystem::path& path);

}  // namespace polepitch
