// One value of the case file against its declaration.
#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <cmath>
#include <stdexcept>

#include "cases/block_reader.h"

namespace polepitch {
namespace {

struct Fault {
  std::string message, hint;
};

std::string bound_text(const Parameter& p, double bound) {
  const std::string number = fmt::format("{:.10g}", bound);
  return p.unit.empty() ? number : number + " " + p.unit;
}

std::string range_text(const Parameter& p) {
  const bool low = std::isfinite(p.lower), high = std::isfinite(p.upper);
  if (low && high) return bound_text(p, p.lower) + " to " + bound_text(p, p.upper);
  if (low) return "at least " + bound_text(p, p.lower);
  if (high) return "at most " + bound_text(p, p.upper);
  return "";
}

/// Round-off of a unit's factor must not push a value over its own bound.
void check_range(const Parameter& p, double value, const std::string& path, const std::string& as_written) {
  const auto slack = [](double bound) { return 1e-12 * std::abs(bound); };
  const bool below = value<p.lower - slack(p.lower), above = value> p.upper + slack(p.upper);
  if (!below && !above) return;
  std::string hint = "allowed: " + range_text(p);
  if (!p.hint.empty()) hint += "; " + p.hint;
  throw Fault{fmt::format("{} = {} is {} allowed value, {}", path, as_written,
                          below ? "below the smallest" : "above the largest", bound_text(p, below ? p.lower : p.upper)),
              hint};
}

[[noreturn]] void wrong_form(const Parameter& p, const std::string& path, const TomlNode& node,
                             const std::string& needed, std::string hint) {
  const std::string range = allowed_values(p);
  if (hint.empty() && !range.empty()) hint = "allowed: " + range;
  throw Fault{fmt::format("{} = {} is {}, {} is needed", path, shown(node), describe(node), needed), hint};
}

double read_number(const Parameter& p, const std::string& path, const TomlNode& node) {
  double value = 0;
  if (node.integer() != nullptr)
    value = static_cast<double>(*node.integer());
  else if (node.floating() != nullptr)
    value = *node.floating();
  else
    wrong_form(p, path, node, "a number without unit",
               node.text() != nullptr ? "write the number without quotes and without a unit" : "");
  if (!std::isfinite(value)) throw Fault{fmt::format("{} = {} is not a finite number", path, shown(node)), ""};
  check_range(p, value, path, shown(node));
  return value;
}

std::string bare_number_hint(const Parameter& p, const TomlNode& node) {
  if (node.integer() == nullptr && node.floating() == nullptr)
    return fmt::format("write it like \"{}\"", bound_text(p, std::isfinite(p.lower) && p.lower > 0 ? p.lower : 1));
  return fmt::format("write \"{} {}\"", shown(node), p.unit);
}

double read_quantity(const Parameter& p, const std::string& path, const TomlNode& node) {
  if (p.kind == Kind::number) return read_number(p, path, node);
  if (node.integer() != nullptr || node.floating() != nullptr)
    throw Fault{fmt::format("{} = {} has no unit, {} is needed", path, shown(node), describe(p.kind)),
                bare_number_hint(p, node)};
  if (node.text() == nullptr)
    wrong_form(p, path, node, std::string(describe(p.kind)) + " with its unit, in quotes", bare_number_hint(p, node));
  double number = 0;
  std::string unit;
  if (!split_quantity(*node.text(), number, unit))
    throw Fault{fmt::format("{} = {} is not a number followed by a unit", path, shown(node)),
                bare_number_hint(p, TomlNode{})};
  double si = 0;
  try {
    si = to_si(p.kind, number, unit);
  } catch (const InputError& error) {
    const Diagnostic& d = error.diagnostics().front();
    const bool comma = unit.front() == ',';
    throw Fault{fmt::format("{} = {}: {}", path, shown(node), d.message),
                comma ? "the decimal sign is a point" : d.hint};
  }
  if (!std::isfinite(si)) throw Fault{fmt::format("{} = {} is not a finite number", path, shown(node)), ""};
  check_range(p, from_si(p.kind, si, p.unit), path, *node.text());
  return si;
}

int read_integer(const Parameter& p, const std::string& path, const TomlNode& node) {
  if (node.integer() == nullptr)
    wrong_form(p, path, node, "a whole number",
               node.text() != nullptr ? "write the number without quotes and without a unit" : "");
  constexpr std::int64_t largest = 2'000'000'000;
  check_range(p, static_cast<double>(*node.integer()), path, shown(node));
  if (std::abs(static_cast<double>(*node.integer())) > static_cast<double>(largest))
    throw Fault{fmt::format("{} = {} is too large", path, shown(node)), ""};
  return static_cast<int>(*node.integer());
}

std::string read_text(const Parameter& p, const std::string& path, const TomlNode& node) {
  if (node.text() == nullptr) wrong_form(p, path, node, "a text in quotes", "");
  if (node.text()->empty()) throw Fault{path + " is an empty text", p.sentence};
  if (p.form == Form::choice && std::find(p.choices.begin(), p.choices.end(), *node.text()) == p.choices.end()) {
    const std::string nearest = nearest_name(*node.text(), p.choices);
    throw Fault{fmt::format("{} = {} is not one of: {}", path, shown(node), fmt::join(p.choices, ", ")),
                nearest.empty() ? p.hint : fmt::format("did you mean \"{}\"?", nearest)};
  }
  return *node.text();
}

bool read_flag(const Parameter& p, const std::string& path, const TomlNode& node) {
  if (node.flag() == nullptr) wrong_form(p, path, node, "true or false", "write true or false without quotes");
  return *node.flag();
}

/// Every entry of a list; all faults of a list are told, each at its own place.
template <class Read>
auto read_list(const Parameter& p, const std::string& path, const TomlNode& node, Diagnostics& faults, Read read) {
  std::vector<decltype(read(p, path, node))> items;
  if (node.array() == nullptr) wrong_form(p, path, node, "a list in square brackets", p.hint);
  if (node.array()->empty() && p.fallback != "[]") throw Fault{path + " is an empty list", p.hint};
  for (std::size_t i = 0; i < node.array()->size(); ++i) {
    const TomlNode& item = (*node.array())[i];
    try {
      items.push_back(read(p, fmt::format("{}, entry {}", path, i + 1), item));
    } catch (const Fault& fault) {
      faults.push_back({item.place, fault.message, fault.hint});
    }
  }
  return items;
}

ValueData read_data(const Parameter& p, const std::string& path, const TomlNode& node, Diagnostics& faults) {
  switch (p.form) {
    case Form::quantity:
      return read_quantity(p, path, node);
    case Form::integer:
      return read_integer(p, path, node);
    case Form::choice:
    case Form::text:
      return read_text(p, path, node);
    case Form::flag:
      return read_flag(p, path, node);
    case Form::quantity_list:
      return read_list(p, path, node, faults, read_quantity);
    case Form::integer_list:
      return read_list(p, path, node, faults, read_integer);
    case Form::text_list:
      return read_list(p, path, node, faults, read_text);
    case Form::integer_table:
      return read_list(p, path, node, faults, [&](const Parameter& q, const std::string& row, const TomlNode& line) {
        return read_list(q, row, line, faults, read_integer);
      });
  }
  throw std::logic_error("a form of parameter is missing in the reader");
}

/// The default is written as it would stand in the file, except that texts and quantities have no quotes.
TomlNode default_node(const Parameter& p) {
  const bool quoted =
      p.form == Form::choice || p.form == Form::text || (p.form == Form::quantity && p.kind != Kind::number);
  if (quoted) {
    TomlNode node;
    node.data = p.fallback;
    return node;
  }
  return parse_toml("x = " + p.fallback, "default").table()->front().value;
}

}  // namespace

std::string allowed_values(const Parameter& parameter) {
  if (parameter.form == Form::choice) return fmt::format("{}", fmt::join(parameter.choices, ", "));
  if (parameter.form == Form::flag) return "true, false";
  return range_text(parameter);
}

std::optional<Value> read_value(const Parameter& parameter, const std::string& path, const TomlNode& node,
                                Diagnostics& faults) {
  const std::size_t before = faults.size();
  try {
    Value value{read_data(parameter, path, node, faults), node.place, true};
    if (faults.size() > before) return std::nullopt;
    return value;
  } catch (const Fault& fault) {
    faults.push_back({node.place, fault.message, fault.hint});
    return std::nullopt;
  }
}

Value default_value(const Parameter& parameter, const std::string& path, const Place& place) {
  Diagnostics faults;
  try {
    if (std::optional<Value> value = read_value(parameter, path, default_node(parameter), faults))
      return {std::move(value->data), place, false};
  } catch (const InputError& error) {
    faults = error.diagnostics();
  }
  throw std::logic_error(fmt::format("the default of {} is at fault: {}", path, to_text(faults.front())));
}

}  // namespace polepitch
