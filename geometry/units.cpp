#include "geometry/units.h"

#include <fmt/format.h>
#include <udunits2.h>

#include <array>
#include <cctype>
#include <charconv>
#include <cmath>
#include <memory>
#include <mutex>
#include <stdexcept>

#include "geometry/error.h"

namespace polepitch {
namespace {

struct KindData {
  Kind kind;
  std::string_view name, si, examples;
};

constexpr std::array<KindData, 23> kinds = {{
    {Kind::number, "a pure number", "", ""},
    {Kind::length, "a length", "m", "mm, cm, m, in"},
    {Kind::area, "an area", "m2", "mm^2, cm^2, m^2"},
    {Kind::angle, "an angle", "rad", "deg, rad"},
    {Kind::speed, "a speed of rotation", "rad/s", "rpm, r/min, rev/s, rad/s"},
    {Kind::frequency, "a frequency", "Hz", "Hz, kHz, 1/s"},
    {Kind::time, "a time", "s", "s, ms, min"},
    {Kind::current, "a current", "A", "A, mA, kA"},
    {Kind::current_density, "a current density", "A/m2", "A/mm^2, A/cm^2, A/m^2"},
    {Kind::current_sheet, "a current sheet or field strength", "A/m", "A/m, kA/m, A/cm"},
    {Kind::voltage, "a voltage", "V", "V, kV, mV"},
    {Kind::power, "a power", "W", "W, kW, MW"},
    {Kind::apparent_power, "an apparent power", "VA", "VA, kVA, MVA"},
    {Kind::torque, "a torque", "N.m", "Nm, kNm, N.m"},
    {Kind::temperature, "a temperature", "K", "degC, K"},
    {Kind::temperature_rise, "a difference of temperature", "K", "K"},
    {Kind::flux_density, "a flux density", "T", "T, mT"},
    {Kind::resistance, "a resistance", "ohm", "ohm, mohm"},
    {Kind::inductance, "an inductance", "H", "H, mH, uH"},
    {Kind::conductivity, "a conductivity", "S/m", "S/m, MS/m"},
    {Kind::density, "a density", "kg/m3", "kg/m^3, kg/dm^3, g/cm^3"},
    {Kind::inertia, "a moment of inertia", "kg.m2", "kg.m^2, g.cm^2"},
    {Kind::temperature_coefficient, "a temperature coefficient", "1/K", "1/K, %/K"},
}};

const KindData& data_of(Kind kind) {
  for (const KindData& data : kinds)
    if (data.kind == kind) return data;
  throw std::logic_error("a kind of quantity is missing in the table of units");
}

using Unit = std::unique_ptr<ut_unit, decltype(&ut_free)>;

void add_symbol(ut_system* system, const char* symbol, const char* meaning) {
  const Unit unit(ut_parse(system, meaning, UT_ASCII), &ut_free);
  if (!unit) throw std::logic_error("the unit " + std::string(meaning) + " is missing in the unit database");
  const ut_status status = ut_map_symbol_to_unit(symbol, UT_ASCII, unit.get());
  if (status != UT_SUCCESS && status != UT_EXISTS) throw std::logic_error("cannot add the unit " + std::string(symbol));
}

/// UDUNITS' database with the symbols of the trade that it lacks; prefixes (kNm, Mvar) come by themselves.
ut_system* make_system() {
  ut_set_error_message_handler(ut_ignore);
  ut_system* system = ut_read_xml(nullptr);
  if (system == nullptr)
    throw FileError("the unit database of UDUNITS-2 cannot be read", "install the package libudunits2-data");
  add_symbol(system, "deg", "degree");
  add_symbol(system, "r", "revolution");
  add_symbol(system, "rev", "revolution");
  add_symbol(system, "Nm", "N.m");
  add_symbol(system, "VA", "W");
  add_symbol(system, "var", "W");
  return system;
}

/// UDUNITS' parser keeps its state in globals: one caller at a time.
std::mutex& units_mutex() {
  static std::mutex mutex;
  return mutex;
}

ut_system* unit_system() {
  static ut_system* system = make_system();
  return system;
}

Unit parse(std::string_view text) {
  return {ut_parse(unit_system(), std::string(text).c_str(), UT_UTF8), &ut_free};
}

/// Base units with their powers, e.g. "s-1.rad", and whether the unit has an offset (degC) or is no plain unit at all
/// (logarithm, date). This keeps the radian, which UDUNITS' own comparison drops.
struct Dimension {
  std::string base;
  bool offset = false;
  bool plain = true;
};

Dimension dimension(const ut_unit* unit) {
  std::array<char, 256> buffer{};
  const int length = ut_format(unit, buffer.data(), buffer.size() - 1, UT_ASCII | UT_DEFINITION);
  Dimension result;
  if (length < 0 || length >= static_cast<int>(buffer.size())) return {"", false, false};
  std::string text(buffer.data(), static_cast<std::size_t>(length));
  if (text.find("(re ") != std::string::npos || text.find("UTC") != std::string::npos) result.plain = false;
  if (const auto at = text.find(" @ "); at != std::string::npos) {
    result.offset = true;
    text.resize(at);
  }
  if (const auto space = text.find(' '); space != std::string::npos) text.erase(0, space + 1);
  result.base = text;
  return result;
}

/// W and VA are one dimension; the spelling tells an active power from an apparent one.
bool spelled_as_apparent(std::string_view unit) {
  for (const std::string_view sign : {"VA", "var", "V.A", "V*A", "V A", "A.V", "A*V", "A V"})
    if (unit.find(sign) != std::string_view::npos) return true;
  return false;
}

bool fits(Kind kind, const Dimension& given, std::string_view unit) {
  if (kind == Kind::number || !given.plain) return false;
  if (given.offset && kind != Kind::temperature) return false;
  if (kind == Kind::power && spelled_as_apparent(unit)) return false;
  if (kind == Kind::apparent_power && !spelled_as_apparent(unit)) return false;
  return given.base == dimension(parse(data_of(kind).si).get()).base;
}

std::string wrong_kind(Kind kind, const Dimension& given, std::string_view unit) {
  std::string what = "is not";
  for (const KindData& data : kinds)
    if (fits(data.kind, given, unit)) {
      what = fmt::format("measures {}, not", data.name);
      break;
    }
  return fmt::format("the unit \"{}\" {} {}", unit, what, data_of(kind).name);
}

/// UDUNITS reads "mm 5" and "5 mm" as scaled units: a second number in a value is a slip, except in "1/K".
bool has_stray_number(std::string_view unit) {
  if (unit.empty()) return false;
  const auto digit = [](char c) { return std::isdigit(static_cast<unsigned char>(c)) != 0; };
  if ((digit(unit[0]) || unit[0] == '.') && unit.substr(0, 2) != "1/") return true;
  for (std::size_t i = 1; i < unit.size(); ++i)
    if (digit(unit[i]) && (unit[i - 1] == ' ' || unit[i - 1] == '\t')) return true;
  return false;
}

[[noreturn]] void refuse(Kind kind, std::string message) {
  throw InputError(std::move(message), fmt::format("units that fit: {}", data_of(kind).examples));
}

/// Parsed unit of the right kind, or an InputError. The mutex is held.
Unit checked(Kind kind, std::string_view text) {
  if (kind == Kind::number) throw InputError("a pure number takes no unit", "write the number alone");
  if (has_stray_number(text)) refuse(kind, fmt::format("\"{}\" is not a unit", text));
  Unit unit = parse(text);
  if (!unit) refuse(kind, fmt::format("the unit \"{}\" is unknown", text));
  const Dimension given = dimension(unit.get());
  if (!fits(kind, given, text)) refuse(kind, wrong_kind(kind, given, text));
  return unit;
}

double convert(const ut_unit* from, const ut_unit* to, double value) {
  const std::unique_ptr<cv_converter, decltype(&cv_free)> converter(
      ut_get_converter(const_cast<ut_unit*>(from), const_cast<ut_unit*>(to)), &cv_free);
  if (!converter) throw std::logic_error("units of one kind do not convert");
  return cv_convert_double(converter.get(), value);
}

}  // namespace

std::string_view describe(Kind kind) {
  return data_of(kind).name;
}

std::string_view si_unit(Kind kind) {
  return data_of(kind).si;
}

std::string_view example_units(Kind kind) {
  return data_of(kind).examples;
}

double to_si(Kind kind, double value, std::string_view unit) {
  if (kind == Kind::number && unit.empty()) return value;
  const std::lock_guard lock(units_mutex());
  const Unit given = checked(kind, unit);
  return convert(given.get(), parse(data_of(kind).si).get(), value);
}

double from_si(Kind kind, double si, std::string_view unit) {
  if (kind == Kind::number && unit.empty()) return si;
  const std::lock_guard lock(units_mutex());
  const Unit wanted = checked(kind, unit);
  return convert(parse(data_of(kind).si).get(), wanted.get(), si);
}

std::string format_quantity(Kind kind, double si, std::string_view unit) {
  const std::string number = fmt::format("{:.6g}", from_si(kind, si, unit));
  return unit.empty() ? number : fmt::format("{} {}", number, unit);
}

bool split_quantity(std::string_view text, double& number, std::string& unit) {
  const auto trim = [&] {
    while (!text.empty() && std::isspace(static_cast<unsigned char>(text.front()))) text.remove_prefix(1);
    while (!text.empty() && std::isspace(static_cast<unsigned char>(text.back()))) text.remove_suffix(1);
  };
  trim();
  if (text.size() > 1 && text[0] == '+' && text[1] != '-') text.remove_prefix(1);
  const auto [end, status] = std::from_chars(text.data(), text.data() + text.size(), number);
  if (status != std::errc() || !std::isfinite(number)) return false;
  text.remove_prefix(static_cast<std::size_t>(end - text.data()));
  trim();
  unit = std::string(text);
  return !unit.empty();
}

}  // namespace polepitch
