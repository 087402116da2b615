#include "geometry/drawn_area.h"

#include <array>

#include <fmt/format.h>

#include "geometry/dxf_entities.h"

namespace polepitch {

namespace {

struct RoleWord {
  const char* word;
  Role role;
};

constexpr std::array<RoleWord, 12> role_words = {{{"core", Role::core},
                                                  {"solid-core", Role::layer},
                                                  {"winding", Role::winding},
                                                  {"field-winding", Role::field_winding},
                                                  {"bar", Role::bar},
                                                  {"damper-bar", Role::bar},
                                                  {"magnet", Role::magnet},
                                                  {"air", Role::air},
                                                  {"wedge", Role::wedge},
                                                  {"insulation", Role::insulation},
                                                  {"sleeve", Role::sleeve},
                                                  {"shaft", Role::shaft}}};

Parameter text_parameter(const char* name, const char* sentence) {
  return {.name = name, .form = Form::text, .optional = true, .sentence = sentence};
}

Parameter choice_parameter(const char* name, std::vector<std::string> choices, const char* fallback,
                           const char* sentence) {
  return {
      .name = name, .form = Form::choice, .fallback = fallback, .choices = std::move(choices), .sentence = sentence};
}

std::vector<Parameter> make_parameters() {
  std::vector<std::string> roles;
  for (const RoleWord& word : role_words) roles.push_back(word.word);
  const Parameter seed{.name = "at",
                       .form = Form::quantity_list,
                       .kind = Kind::length,
                       .unit = "mm",
                       .optional = true,
                       .sentence = "A point inside the one area that is meant: x and y as in the drawing.",
                       .hint = "at = [\"52 mm\", \"3.5 mm\"]"};
  Parameter turns = integer_parameter("turns", 1, 100000, "", "Turns of a coil side of the field winding.");
  turns.optional = true;
  Parameter direction = number_parameter("direction", -360, 360, "0 deg",
                                         "Angle of a parallel remanence from where `direction_from` says.");
  direction.kind = Kind::angle;
  direction.unit = "deg";
  const Parameter reversed{.name = "reversed",
                           .form = Form::flag,
                           .fallback = "false",
                           .sentence = "Turns the remanence, or the current of the turns, round."};
  return {
      choice_parameter("role", roles, "", "What the areas are."),
      text_parameter("layer",
                     "Layer of the drawing: the areas in which a point or a text of this layer lies, and those that "
                     "outlines of this layer enclose; * stands for any letters."),
      text_parameter("text", "Only the areas in which a text with these words lies; * stands for any letters."),
      seed,
      text_parameter("material",
                     "Material; that of the machine's cores and of the winding, or air, when it is not given."),
      turns,
      choice_parameter("magnetisation", {"parallel", "radial"}, "parallel",
                       "Remanence of a magnet: in one direction, or along the radius everywhere."),
      direction,
      choice_parameter(
          "direction_from", {"long-side", "radius", "x-axis"}, "long-side",
          "Where `direction` is measured from, counter-clockwise: from the outward normal of the magnet's longest "
          "straight sides or from the radius through its centre, both turned round in every second pole; or from the "
          "drawing's x axis, in the first of the copies."),
      reversed,
  };
}

std::string default_material(const Machine& machine, const Block& side, Role role) {
  switch (role) {
    case Role::core:
    case Role::layer:
      return side.path == "stator" ? machine.general.values.text("stator_material") : rotor_material(machine);
    case Role::shaft:
      return machine.general.values.text("shaft_material");
    case Role::winding:
      return machine.winding.present ? machine.winding.values.text("material") : "air";
    case Role::air:
    case Role::wedge:
    case Role::insulation:
      return "air";
    default:
      return "";
  }
}

void check_rule(const AreaRule& rule, const Block& area, const Block& side, bool rotor_outside, Faults& faults) {
  const Values& v = area.values;
  const std::string& role = v.text("role");
  const bool stator = side.path == "stator";
  if (rule.layer.empty() && rule.text.empty() && !rule.has_seed)
    faults.push_back(
        {area.place, fmt::format("{} does not say which areas it means", rule.path), "give layer, text or at"});
  if (rule.has_seed && (!rule.layer.empty() || !rule.text.empty()))
    faults.push_back({v.place("at"), fmt::format("{}.at stands beside a layer or a text", rule.path),
                      "a point means one area: remove it, or layer and text"});
  if (rule.material.empty())
    faults.push_back({area.place, fmt::format("{}.material is missing", rule.path),
                      fmt::format("areas of the role {} have no default", role)});
  if ((rule.role == Role::field_winding) != (rule.turns > 0))
    faults.push_back(
        {area.place,
         fmt::format("{}.turns {}", rule.path, rule.turns > 0 ? "belongs to a field winding" : "is missing"),
         "a coil side of the field winding needs its turns, nothing else has them"});
  const bool rotor_only = role == "field-winding" || role == "bar" || role == "damper-bar";
  if ((stator && rotor_only) || (!stator && rule.role == Role::winding))
    faults.push_back(
        {v.place("role"), fmt::format("{}.role = \"{}\" cannot be in the {}", rule.path, role, side.path),
         stator ? "the stator carries the role winding"
         : rule.role == Role::winding
             ? "a drawn rotor has no phases of its own; the rotor type wound has them, and its slots may be "
               "drawn ([rotor.slot] with shape = \"drawing\")"
             : "the rotor carries field-winding, bar, damper-bar or magnet"});
  const bool bar = role == "bar" || role == "damper-bar";
  if (!stator && bar && rotor_outside)
    faults.push_back({v.place("role"),
                      fmt::format("{}.role = \"{}\" cannot be in a rotor around its stator", rule.path, role),
                      "it carries magnet or field-winding"});
}

}  // namespace

const std::vector<Parameter>& area_parameters() {
  static const std::vector<Parameter> table = make_parameters();
  return table;
}

std::vector<AreaRule> area_rules(const Machine& machine, const Block& side, Faults& faults) {
  std::vector<AreaRule> rules;
  for (const Block& area : side.areas) {
    const Values& v = area.values;
    AreaRule rule;
    rule.path = area.path;
    rule.place = area.place;
    if (v.has("layer")) rule.layer = v.text("layer");
    if (v.has("text")) rule.text = v.text("text");
    if (v.has("at") && v.numbers("at").size() != 2) {
      faults.push_back(
          {v.place("at"), fmt::format("{}.at needs two lengths, x and y", area.path), "at = [\"52 mm\", \"3.5 mm\"]"});
      continue;
    }
    rule.has_seed = v.has("at");
    if (rule.has_seed) rule.seed = {v.numbers("at")[0], v.numbers("at")[1]};
    const std::string& role = v.text("role");
    for (const RoleWord& word : role_words)
      if (role == word.word) rule.role = word.role;
    rule.damper = role == "damper-bar";
    rule.material = v.has("material") ? v.text("material") : default_material(machine, side, rule.role);
    if (v.has("turns")) rule.turns = v.integer("turns");
    if (rule.role == Role::magnet)
      rule.pattern =
          v.text("magnetisation") == "radial" ? Magnetisation::Pattern::radial : Magnetisation::Pattern::parallel;
    const std::string& from = v.text("direction_from");
    rule.from = from == "radius"   ? AreaRule::From::radius
                : from == "x-axis" ? AreaRule::From::x_axis
                                   : AreaRule::From::long_side;
    rule.direction = v.number("direction");
    rule.reversed = v.flag("reversed");
    check_rule(rule, area, side, rotor_outside(machine), faults);
    rules.push_back(std::move(rule));
  }
  return rules;
}

bool fits_pattern(const std::string& pattern, const std::string& name) {
  const std::string p = small_letters(pattern), n = small_letters(name);
  std::size_t i = 0, j = 0, star = std::string::npos, from = 0;
  while (j < n.size()) {
    if (i < p.size() && p[i] == '*') {
      star = i++;
      from = j;
    } else if (i < p.size() && p[i] == n[j]) {
      ++i, ++j;
    } else if (star != std::string::npos) {
      i = star + 1;
      j = ++from;
    } else {
      return false;
    }
  }
  while (i < p.size() && p[i] == '*') ++i;
  return i == p.size();
}

}  // namespace polepitch
