// Driven by the declared tables: every parameter is read at each of its bounds and refused just outside, with the range
// in the message.
#include <fmt/format.h>
#include <gtest/gtest.h>

#include <cmath>

#include "cases/block_reader.h"
#include "cases/case_tables.h"

namespace polepitch {
namespace {

bool bounded_form(const Parameter& p) {
  return p.form == Form::quantity || p.form == Form::integer || p.form == Form::quantity_list ||
         p.form == Form::integer_list || p.form == Form::integer_table;
}

/// The text of one value as it stands in a file: in the parameter's unit, in brackets when it is a list.
std::string written(const Parameter& p, double value) {
  const bool whole = p.form == Form::integer || p.form == Form::integer_list || p.form == Form::integer_table;
  std::string text = whole ? fmt::format("{:.0f}", value) : fmt::format("{:.17g}", value);
  if (!whole && p.kind != Kind::number) text = fmt::format("\"{} {}\"", text, p.unit);
  if (p.form == Form::integer_table) return "[[" + text + "]]";
  return p.form == Form::quantity || p.form == Form::integer ? text : "[" + text + "]";
}

Diagnostics faults_of(const Parameter& p, const std::string& text) {
  const TomlNode root = parse_toml(p.name + " = " + text, "case.toml");
  Diagnostics faults;
  read_block("table", &root, {p}, {}, faults);
  return faults;
}

/// The value next to a bound that lies outside.
double outside(const Parameter& p, double bound, double direction) {
  const bool whole = p.form != Form::quantity && p.form != Form::quantity_list;
  return bound + direction * (whole ? 1 : 1e-6 * std::max(std::abs(bound), 1e-3));
}

void try_bound(const std::string& where, const Parameter& p, double bound, double direction) {
  if (!std::isfinite(bound)) return;
  EXPECT_TRUE(faults_of(p, written(p, bound)).empty()) << where << " at its bound " << bound;
  const Diagnostics faults = faults_of(p, written(p, outside(p, bound, direction)));
  ASSERT_EQ(faults.size(), 1U) << where << " outside " << bound;
  EXPECT_NE(faults[0].message.find(direction < 0 ? "below the smallest" : "above the largest"), std::string::npos)
      << faults[0].message;
  EXPECT_NE(faults[0].hint.find("allowed: " + allowed_values(p)), std::string::npos) << faults[0].hint;
  EXPECT_EQ(faults[0].place.line, 1);
}

TEST(Bounds, EveryParameterOfEveryTable) {
  int tried = 0;
  for (const CaseTable& table : case_tables())
    for (const Parameter& p : table.parameters) {
      if (!bounded_form(p)) continue;
      const std::string where = table.header + " " + table.type + " " + p.name;
      try_bound(where, p, p.lower, -1);
      try_bound(where, p, p.upper, +1);
      ++tried;
    }
  EXPECT_GT(tried, 60);
}

TEST(Bounds, EveryDeclarationIsWhole) {
  for (const CaseTable& table : case_tables())
    for (const Parameter& p : table.parameters) {
      const std::string where = table.header + " " + table.type + " " + p.name;
      ASSERT_FALSE(p.sentence.empty()) << where;
      EXPECT_EQ(p.sentence.back(), '.') << where;
      if (!p.fallback.empty()) {
        EXPECT_NO_THROW(default_value(p, where, {})) << where;
      }
      EXPECT_FALSE(p.optional && !p.fallback.empty()) << where << ": optional and yet with a default";
      if (p.form == Form::choice) {
        EXPECT_GE(p.choices.size(), 2U) << where;
      }
      if (bounded_form(p) && p.kind != Kind::number) {
        EXPECT_NO_THROW(to_si(p.kind, 1, p.unit)) << where;
      }
    }
}

TEST(Bounds, EveryChoiceIsReadAndAnythingElseRefused) {
  for (const CaseTable& table : case_tables())
    for (const Parameter& p : table.parameters) {
      if (p.form != Form::choice) continue;
      for (const std::string& choice : p.choices) EXPECT_TRUE(faults_of(p, "\"" + choice + "\"").empty()) << p.name;
      const Diagnostics faults = faults_of(p, "\"no-such-choice\"");
      ASSERT_EQ(faults.size(), 1U);
      EXPECT_NE(faults[0].message.find(p.choices.front()), std::string::npos);
    }
}

}  // namespace
}  // namespace polepitch
