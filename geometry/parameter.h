// A parameter is declared once; reading, error messages, --help, docs/case-file.md and the tests at its bounds come
// from that declaration. `Values` carries what the case file said, in SI, each value with its place.
#pragma once

#include <limits>
#include <map>
#include <memory>
#include <string>
#include <variant>
#include <vector>

#include "geometry/error.h"
#include "geometry/units.h"

namespace polepitch {

enum class Form { quantity, integer, choice, text, flag, quantity_list, integer_list, integer_table, text_list };

struct Parameter {
  std::string name = {};  // key in the case file, snake_case
  Form form = Form::quantity;
  Kind kind = Kind::number;  // of a quantity or quantity_list; `number` takes a bare number
  std::string unit = {};     // unit used in docs and messages; "" for numbers
  double lower = -std::numeric_limits<double>::infinity();  // in `unit`, inclusive; also for integers
  double upper = std::numeric_limits<double>::infinity();
  std::string fallback = {};              // default as it would stand in the file, e.g. "3 mm"; "" = required
  bool optional = false;                  // no default, may be absent: Values::has tells
  std::vector<std::string> choices = {};  // of a choice
  std::string sentence = {};              // one sentence, ends with a full stop
  std::string hint = {};                  // what to do when it is wrong; may be empty
};

using IntegerTable = std::vector<std::vector<int>>;
using ValueData = std::variant<double, int, bool, std::string, std::vector<double>, std::vector<int>,
                               std::vector<std::string>, IntegerTable>;

struct Value {
  ValueData data;
  Place place;         // of the value in the file; of the table when the default was taken
  bool given = false;  // false: the default
};

/// The values of one table of the case file. Asking for an undeclared name throws std::logic_error (a bug here).
class Values {
 public:
  void set(const std::string& name, Value value) { values_[name] = std::move(value); }
  bool has(const std::string& name) const { return values_.count(name) > 0; }
  bool given(const std::string& name) const;
  double number(const std::string& name) const;  // SI
  int integer(const std::string& name) const;
  bool flag(const std::string& name) const;
  const std::string& text(const std::string& name) const;  // text or choice
  const std::vector<double>& numbers(const std::string& name) const;
  const std::vector<int>& integers(const std::string& name) const;
  const std::vector<std::string>& texts(const std::string& name) const;
  const IntegerTable& table(const std::string& name) const;
  Place place(const std::string& name) const;  // {} when absent

 private:
  const Value& at(const std::string& name) const;
  std::map<std::string, Value> values_;
};

struct DxfDrawing;

/// One table of the case file: its type (where it has one: rotor, slot, study …), values, path ("rotor.slot") and
/// place.
struct Block {
  std::string path;
  std::string type;
  Values values;
  Place place;
  bool present = false;
  std::shared_ptr<const DxfDrawing> drawing = nullptr;  // of the file that the table names
  std::vector<Block> areas = {};                        // [[….area]]: what the areas of the drawing are
};

/// The name of `names` that `name` was probably meant to be; "" when none is near.
std::string nearest_name(const std::string& name, const std::vector<std::string>& names);

}  // namespace polepitch
