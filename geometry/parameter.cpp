#include "geometry/parameter.h"

#include <algorithm>
#include <stdexcept>

namespace polepitch {
namespace {

template <class T>
const T& get(const Value& value, const std::string& name) {
  if (const T* data = std::get_if<T>(&value.data)) return *data;
  throw std::logic_error("the parameter " + name + " was asked for in a form that it does not have");
}

/// Levenshtein distance with neighbouring letters swapped counted as one slip.
int edit_distance(const std::string& a, const std::string& b) {
  const std::size_t n = a.size(), m = b.size();
  std::vector<std::vector<int>> d(n + 1, std::vector<int>(m + 1, 0));
  for (std::size_t i = 0; i <= n; ++i) d[i][0] = static_cast<int>(i);
  for (std::size_t j = 0; j <= m; ++j) d[0][j] = static_cast<int>(j);
  for (std::size_t i = 1; i <= n; ++i)
    for (std::size_t j = 1; j <= m; ++j) {
      d[i][j] = std::min({d[i - 1][j] + 1, d[i][j - 1] + 1, d[i - 1][j - 1] + (a[i - 1] == b[j - 1] ? 0 : 1)});
      if (i > 1 && j > 1 && a[i - 1] == b[j - 2] && a[i - 2] == b[j - 1])
        d[i][j] = std::min(d[i][j], d[i - 2][j - 2] + 1);
    }
  return d[n][m];
}

/// Lower case without the separators that people mix up, so that "poleWidth" is near "pole_width".
std::string folded(const std::string& name) {
  std::string result;
  for (const char c : name)
    if (c != '_' && c != '-' && c != ' ') result += (c >= 'A' && c <= 'Z') ? static_cast<char>(c - 'A' + 'a') : c;
  return result;
}

}  // namespace

bool Values::given(const std::string& name) const {
  const auto it = values_.find(name);
  return it != values_.end() && it->second.given;
}

const Value& Values::at(const std::string& name) const {
  const auto it = values_.find(name);
  if (it == values_.end()) throw std::logic_error("the parameter " + name + " has no value");
  return it->second;
}

double Values::number(const std::string& name) const {
  return get<double>(at(name), name);
}
int Values::integer(const std::string& name) const {
  return get<int>(at(name), name);
}
bool Values::flag(const std::string& name) const {
  return get<bool>(at(name), name);
}
const std::string& Values::text(const std::string& name) const {
  return get<std::string>(at(name), name);
}
const std::vector<double>& Values::numbers(const std::string& name) const {
  return get<std::vector<double>>(at(name), name);
}
const std::vector<int>& Values::integers(const std::string& name) const {
  return get<std::vector<int>>(at(name), name);
}
const std::vector<std::string>& Values::texts(const std::string& name) const {
  return get<std::vector<std::string>>(at(name), name);
}
const IntegerTable& Values::table(const std::string& name) const {
  return get<IntegerTable>(at(name), name);
}

Place Values::place(const std::string& name) const {
  const auto it = values_.find(name);
  return it == values_.end() ? Place{} : it->second.place;
}

std::string nearest_name(const std::string& name, const std::vector<std::string>& names) {
  const std::string wanted = folded(name);
  std::string best;
  int best_distance = std::max(2, static_cast<int>(wanted.size()) / 3) + 1;
  for (const std::string& candidate : names) {
    const int distance = edit_distance(wanted, folded(candidate));
    if (distance < best_distance) {
      best_distance = distance;
      best = candidate;
    }
  }
  return best;
}

}  // namespace polepitch
