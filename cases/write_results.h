// Results to files: summary.json, one CSV per curve, pictures, field files.
#pragma once

#include <string>

#include "cases/run_studies.h"

namespace polepitch {

/// Pictures of one study into `directory`: field and gap of its first frame, every curve, flux density against limits.
/// Magnets past their knee are hatched.
void draw_study(const Case& kase, StaticField& field, const StudyResult& study, const std::string& directory);

/// field/<study>_000.vtu … and field/<study>.pvd over the rotor angle, or over the frames where the rotor stands.
void write_fields(StaticField& field, const StudyResult& study, const std::string& directory);

/// Pictures (where the case wants them) and fields of every study, and field/open_in_paraview.py.
void write_studies(const Case& kase, const Section& section, const Mesh& mesh, const SolvedStudies& solved,
                   const std::string& directory);

}  // namespace polepitch
