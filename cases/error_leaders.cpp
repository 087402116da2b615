#include "cases/error_leaders.h"

#include <algorithm>
#include <cmath>
#include <string>
#include <string_view>
#include <utility>

namespace polepitch {
namespace {

using At = std::vector<std::pair<std::string, std::string>>;

/// Quantities whose relative error is at least that of others at the same operating point, taken together, and these
/// first: at held voltage the q-axis reactance turns the field's axis against the voltage; power on the shaft is torque
/// times speed; pull-out is E U/X_d, E by the load point's field current, and what follows by pull-out has its error;
/// what is constructed on the no-load curve has the error of the field current read there; Potier's triangle stands on
/// three curves; the two-reactance curve's deviation is between two torques.
constexpr std::pair<std::string_view, std::string_view> kFollows[] = {
    {"load_angle", "X_q_apparent"},
    {"lambda_q", "X_q_apparent"},
    {"P_shaft", "torque_mean"},
    {"pull_out_torque", "i_field"},
    {"pull_out_torque", "X_d_apparent"},
    {"pull_out_power", "pull_out_torque"},
    {"pull_out_ratio", "pull_out_torque"},
    {"swing_load", "pull_out_torque"},
    {"swing_slip_time", "pull_out_torque"},
    {"two_reactance_deviation", "pull_out_torque"},
    {"two_reactance_deviation", "two_reactance_pull_out_torque"},
    {"saturation_factor", "i_field_no_load"},
    {"saturation_factor", "i_field_air_gap"},
    {"i_field_rated_potier", "i_field_no_load"},
    {"i_field_rated_increment", "i_field_no_load"},
    {"X_potier", "i_field_no_load"},
    {"X_potier", "i_field_air_gap"},
    {"X_potier", "i_field_zero_power_factor"},
    {"x_potier", "i_field_no_load"},
    {"x_potier", "i_field_air_gap"},
    {"x_potier", "i_field_zero_power_factor"}};

/// Whether what both say of the operating point is the same; either may say more.
bool agree(const At& one, const At& other) {
  for (const auto& [name, text] : one)
    for (const auto& [also, there] : other)
      if (name == also && text != there) return false;
  return true;
}

/// The largest of the leader's at the follower's operating point (one of them may stand in two senses there).
double relative_error_of(std::string_view leader, const Quantity& follower, const std::vector<Quantity>& quantities) {
  double largest = 0;
  for (const Quantity& q : quantities) {
    if (q.name != leader || q.study != follower.study || !q.error || q.value == 0) continue;
    if (agree(q.at, follower.at)) largest = std::max(largest, std::abs(*q.error / q.value));
  }
  return largest;
}

/// What a relative error of the leaders makes an absolute one: S = i_f/i_f,airgap − 1; a deviation is a share.
double scale_of(const Quantity& q) {
  if (q.name == "two_reactance_deviation") return 1;
  return q.name == "saturation_factor" ? 1 + q.value : std::abs(q.value);
}

double relative_error_of_leaders(const Quantity& follower, const std::vector<Quantity>& quantities) {
  double together = 0;
  for (const auto& [name, leader] : kFollows)
    if (name == follower.name) together = std::hypot(together, relative_error_of(leader, follower, quantities));
  return together;
}

/// The first quantity of a name at the follower's operating point.
const Quantity* beside(const Quantity& follower, std::string_view name, const std::vector<Quantity>& quantities) {
  for (const Quantity& q : quantities)
    if (q.name == name && q.study == follower.study && agree(q.at, follower.at)) return &q;
  return nullptr;
}

/// rad, of the angle between the current and the rotor's axes, where a study searched for it; 0 where it is given.
double error_of_turn(const Quantity& follower, const std::vector<Quantity>& quantities) {
  double error = 0;
  for (const std::string_view name : {"load_angle", "current_angle_mtpa"})
    if (const Quantity* angle = beside(follower, name, quantities))
      error = std::max(error, angle->error.value_or(0) * 3.14159265358979323846 / 180);
  return error;
}

/// i_d and i_q turn into each other with the angle that was searched for, and both grow with the current; the MMF's
/// angle turns with it.
double error_of_turned(const Quantity& q, const std::vector<Quantity>& quantities) {
  const double turn = error_of_turn(q, quantities);
  if (q.name == "torque_angle") return turn * 180 / 3.14159265358979323846;
  const Quantity* other = beside(q, q.name == "i_d" ? "i_q" : "i_d", quantities);
  const double length = relative_error_of("I_phase", q, quantities);
  return other ? std::hypot(other->value * turn, q.value * length) : 0;
}

bool is_turned(const Quantity& q) {
  return (q.name == "i_d" || q.name == "i_q" || q.name == "torque_angle") && q.method != "given";
}

/// Torque by other formulas than the gap's harmonics, which are better known: what they differ by is theirs.
double difference_to_mean(const Quantity& q, const std::vector<Quantity>& quantities) {
  const Quantity* mean = beside(q, "torque_mean", quantities);
  if (!mean || mean->samples.size() != q.samples.size() || q.samples.empty()) return 0;
  double sum = 0;
  for (size_t k = 0; k < q.samples.size(); ++k) sum += std::pow(q.samples[k] - mean->samples[k], 2);
  return std::sqrt(sum / static_cast<double>(q.samples.size()));
}

}  // namespace

size_t mutual_at(const std::string& name) {
  const bool mutual = name.size() >= 4 && (name[0] == 'X' || name[0] == 'x') &&
                      (name.compare(1, 3, "_dq") == 0 || name.compare(1, 3, "_qd") == 0);
  return mutual ? 2 : std::string::npos;
}

double scale_of_mutual(const Quantity& q, const std::vector<Quantity>& quantities) {
  const size_t at = mutual_at(q.name);
  if (at == std::string::npos) return 0;
  std::string d = q.name, along_q = q.name;
  const Quantity *x_d = beside(q, d.replace(at, 2, "d"), quantities),
                 *x_q = beside(q, along_q.replace(at, 2, "q"), quantities);
  return x_d && x_q ? std::sqrt(std::abs(x_d->value * x_q->value)) : 0;
}

void follow_leaders(std::vector<Quantity>& quantities) {
  const auto raise = [](Quantity& q, double error) { q.error = std::max(*q.error, error); };
  for (const auto& [name, first] : kFollows)
    for (Quantity& q : quantities)
      if (q.name == name && q.error) raise(q, scale_of(q) * relative_error_of_leaders(q, quantities));
  for (Quantity& q : quantities) {
    if (!q.error) continue;
    if (is_turned(q)) raise(q, error_of_turned(q, quantities));
    if (q.name.starts_with("torque_arkkio") || q.name.starts_with("torque_virtual_work"))
      raise(q, difference_to_mean(q, quantities));
  }
}

}  // namespace polepitch
