// Which phase each coil belongs to, from the star of slots (the phasors of the coils at the working order), in integers
// only. Textbook method: Pyrhönen, Jokinen, Hrabovcová, Design of Rotating Electrical Machines (memory).
#pragma once

#include <optional>
#include <vector>

namespace polepitch {

/// What is asked of the star.
struct StarRequest {
  int slots = 0;
  int pole_pairs = 1;
  int phases = 3;
  int layers = 2;
  int span = 1;  // slots
};

/// One coil: for sign +1 positive current flows along −z in slot `from` and along +z in slot `to`, `span` slots further
/// counter-clockwise, so that the coil's own MMF axis lies in its middle.
struct StarCoil {
  int from = 0, to = 0;
  int phase = 0;
  int sign = 1;
};

/// Coils in ascending order of `from`; nothing when these numbers admit no balanced winding of equal coils.
std::optional<std::vector<StarCoil>> star_of_slots(const StarRequest& request);

/// Full pitch rounded down to whole slots, at least 1; with one layer the largest span up to it that works (full pitch
/// when none does).
int default_span(StarRequest request);

/// The slot numbers next to `request.slots`, below and above, that admit a winding; `span` 0 takes the default.
std::vector<int> nearest_slot_numbers(StarRequest request);

}  // namespace polepitch
