// open_in_paraview.py beside the field files: opens one study's series as |B|, field lines and the rotor's angle.
#pragma once

#include <string>
#include <vector>

namespace polepitch {

/// Python for ParaView's own interpreter (post/paraview). `studies`: names of the .pvd files without ending, at least
/// one, in the order of the case.
std::string paraview_script(const std::vector<std::string>& studies);

}  // namespace polepitch
