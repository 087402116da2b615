// Where the phase linkage goes: slot, tooth-tip, differential and magnetising parts of a field (theory.md, eq. 22).
//
// For each coil side with its turns: slot = mean A over the side − A at the slot's mouth (on the bore, on the slot's
// axis); tooth-tip = A at the mouth − A on the mean gap circle under it; the gap's rest is A on the mean gap circle,
// order by order: mechanical order p magnetises, all others are differential leakage.
#pragma once

#include <vector>

#include "post/dq.h"
#include "solver/static_field.h"

namespace polepitch {

/// Parts of one linkage [Wb], or of one inductance [H]; end windings are not in a section's field and not in here.
struct LinkageParts {
  double slot = 0, tooth_tip = 0, differential = 0, magnetising = 0;

  double leakage() const { return slot + tooth_tip + differential; }
  double total() const { return leakage() + magnetising; }
};
LinkageParts operator*(double factor, const LinkageParts& parts);
LinkageParts operator+(const LinkageParts& a, const LinkageParts& b);

/// Of each phase, in the order of Section::branches, whole machine. They sum to the linkage to round-off: slot and tip
/// telescope by construction, that the orders of the gap add up to A on the mean circle is the solver's part.
std::vector<LinkageParts> split_linkages(const StaticField& field, const StaticSolution& solution);

/// The same in the rotor's dq frame.
struct DqLinkageParts {
  LinkageParts d, q;
};
DqLinkageParts split_linkages_dq(const StaticField& field, const StaticSolution& solution);

/// Turns of every coil side per ampere of its branch at the angle of its slot's axis: what the split needs of a mesh.
struct CoilSideAxis {
  int region = 0;    // index into Section::regions
  double angle = 0;  // rad, mechanical, stator frame
};
std::vector<CoilSideAxis> coil_side_axes(const StaticField& field);

}  // namespace polepitch
