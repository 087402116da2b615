// Units of the case file. UDUNITS-2 does the conversion; the kind of a parameter decides which units it may carry,
// because UDUNITS alone cannot tell a speed from a frequency (it counts the radian as 1). SI inside the program.
#pragma once

#include <string>
#include <string_view>

namespace polepitch {

/// What a value measures. The SI unit that the program keeps it in stands beside each.
enum class Kind {
  number,                   // 1
  length,                   // m
  area,                     // m2
  angle,                    // rad
  speed,                    // rad/s, rotational; refuses Hz
  frequency,                // Hz; refuses angular units
  time,                     // s
  current,                  // A
  current_density,          // A/m2
  current_sheet,            // A/m, also magnetic field strength
  voltage,                  // V
  power,                    // W
  apparent_power,           // VA, var; refuses W, which states an active power
  torque,                   // N m
  temperature,              // K absolute; "75 degC" is 348.15
  temperature_rise,         // K difference; refuses degC
  flux_density,             // T
  resistance,               // ohm
  inductance,               // H
  conductivity,             // S/m
  density,                  // kg/m3
  inertia,                  // kg m2
  temperature_coefficient,  // 1/K
};

/// The name of a kind for messages: "a length", "a speed of rotation".
std::string_view describe(Kind kind);

/// The SI unit of a kind in UDUNITS' spelling, e.g. "m", "rad/s", "A/m2".
std::string_view si_unit(Kind kind);

/// Examples of units that the kind takes, for hints: "mm, cm, m, in".
std::string_view example_units(Kind kind);

/// `value` in `unit` → SI. Throws InputError (no place) when the unit is unknown or of another kind.
double to_si(Kind kind, double value, std::string_view unit);

/// SI → `unit`.
double from_si(Kind kind, double si, std::string_view unit);

/// "7.9 mm": an SI value in `unit` with a sensible number of digits.
std::string format_quantity(Kind kind, double si, std::string_view unit);

/// "165 mm" → number and unit; false when the text is not "<number> <unit>".
bool split_quantity(std::string_view text, double& number, std::string& unit);

}  // namespace polepitch
