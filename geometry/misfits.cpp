// Hints of what would fit: the range of one parameter, found by trying.
#include <algorithm>
#include <cmath>
#include <numbers>

#include <fmt/format.h>

#include "geometry/pole_parts.h"

namespace polepitch {

namespace {

constexpr double pi = std::numbers::pi;

// Interval of a parameter around its given value.
struct Interval {
  double low = 0, high = 0;
  bool from_bound = false, to_bound = false, found = false;
};

Interval interval_that_fits(double given, double lower, double upper, const std::function<bool(double)>& fits) {
  // The nearest value that fits, outwards from the given one in steps of 2 %; then both ends by bisection.
  Interval out;
  double good = 0;
  const double base = std::max(std::abs(given), 1e-3 * upper);
  for (int k = 1; k <= 350 && !out.found; ++k)
    for (double value : {base * std::pow(1.02, -k), base * std::pow(1.02, k)}) {
      if (out.found || value < lower || value > upper || !fits(value)) continue;
      out.found = true;
      good = value;
    }
  if (!out.found) return out;
  const auto end = [&](double bound, bool& reaches) {
    double inside = good, outside = good;
    for (int i = 1; i <= 32 && inside == outside; ++i) {
      outside = good + (bound - good) * i / 32;
      if (fits(outside)) inside = outside;
    }
    reaches = inside == bound;
    for (int i = 0; i < 40 && !reaches; ++i) {
      const double middle = (inside + outside) / 2;
      (fits(middle) ? inside : outside) = middle;
    }
    return inside;
  };
  out.low = end(lower, out.from_bound);
  out.high = end(upper, out.to_bound);
  return out;
}

std::string rounded(const Parameter& p, double si, bool up) {
  if (p.kind == Kind::length) return up ? rounded_up(si) : rounded_down(si);
  const double value = p.kind == Kind::angle ? si * 180 / pi : si;
  const double unit = std::pow(10.0, std::floor(std::log10(std::max(std::abs(value), 1e-9))) - 2);
  const double tidy = unit * (up ? std::ceil(value / unit) : std::floor(value / unit));
  return p.kind == Kind::angle ? fmt::format("{:.4g} deg", tidy) : fmt::format("{:.4g}", tidy);
}

Machine changed(const Machine& machine, const Parameter& p, int entry, double value) {
  Machine copy = machine;
  Values& v = copy.rotor.values;
  if (entry >= 0) {
    std::vector<double> list = v.numbers(p.name);
    list[entry] = value;
    v.set(p.name, {list, v.place(p.name), true});
  } else if (p.form == Form::integer) {
    v.set(p.name, {static_cast<int>(value), v.place(p.name), true});
  } else {
    v.set(p.name, {value, v.place(p.name), true});
  }
  return copy;
}

std::string hint_for(const Machine& machine, const Parameter& p, const Misfit& misfit, const MisfitSearch& search) {
  const double unit = p.kind == Kind::length ? 1e-3 : p.kind == Kind::angle ? pi / 180 : 1;
  const Values& v = machine.rotor.values;
  const double given = misfit.entry >= 0         ? v.numbers(p.name)[misfit.entry]
                       : p.form == Form::integer ? v.integer(p.name)
                                                 : v.number(p.name);
  const Interval range = interval_that_fits(given, p.lower * unit, p.upper * unit, [&](double value) {
    return search(changed(machine, p, misfit.entry, value)).empty();
  });
  if (!range.found) return "no value of it alone fits the other dimensions: change them as well";
  const std::string low = rounded(p, range.low, true), high = rounded(p, range.high, false);
  if (range.from_bound) return fmt::format("at most {} with the other dimensions as they are", high);
  if (range.to_bound) return fmt::format("at least {} with the other dimensions as they are", low);
  return fmt::format("{} to {} with the other dimensions as they are", low, high);
}

std::string given_text(const Machine& machine, const Parameter& p, int entry) {
  const Values& v = machine.rotor.values;
  if (entry >= 0)
    return fmt::format("rotor.{}[{}] = {}", p.name, entry, format_quantity(p.kind, v.numbers(p.name)[entry], p.unit));
  if (p.form == Form::integer) return fmt::format("rotor.{} = {}", p.name, v.integer(p.name));
  return fmt::format("rotor.{} = {}", p.name, format_quantity(p.kind, v.number(p.name), p.unit));
}

}  // namespace

void report_misfits(const Machine& machine, const std::vector<Parameter>& table, const MisfitSearch& search,
                    Faults& faults) {
  for (const Misfit& misfit : search(machine))
    for (const Parameter& p : table)
      if (p.name == misfit.parameter)
        faults.push_back({machine.rotor.values.place(p.name), given_text(machine, p, misfit.entry) + " " + misfit.words,
                          hint_for(machine, p, misfit, search)});
}

}  // namespace polepitch
