// Machines drawn at random around the ready cases, in and out of the bounds of every parameter, and what the program
// says of them as a user runs it.
#pragma once

#include <cstdint>
#include <string>
#include <vector>

namespace polepitch {

struct RandomMachine {
  std::string rotor, slot, rotor_slot;  // types; "" for none
  std::string text;                     // case file with one study, at one position of the rotor, on a coarse mesh
};

/// From this number on: double cages, wound rotors and drawn machines.
inline constexpr std::uint64_t kLaterKinds = 1000000;
/// From this number on: rotors around their stator.
inline constexpr std::uint64_t kOuterKinds = 2000000;

/// The same machine for the same number, on every system.
RandomMachine random_machine(std::uint64_t number);

struct Verdict {
  int exit_code = 0;  // 128 + signal where a signal ended it; 152 where it took too long
  std::string told;   // standard error
  /// "" where all is well: solved with finite numbers, or refused with a message that names a parameter of the case.
  std::string fault;
  double seconds = 0;
};

/// Runs the program on it.
Verdict try_machine(const RandomMachine& machine);

/// Whether a text names a key of the case file: "rotor.air_gap", or "air_gap" (a word with an underscore).
bool names_parameter(const std::string& text);

}  // namespace polepitch
