#include "cases/cage_load_point.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "cases/pull_out.h"
#include "post/dq.h"

namespace polepitch {
namespace {

using Complex = std::complex<double>;

/// The load over the slip's magnitude, remembering the fields.
class Load1D {
 public:
  Load1D(const StudyContext& context, SlipRunner& runner, const CageLoadRequest& request)
      : context_(context), runner_(runner), request_(request) {}

  /// What is asked for, in the request's sense.
  double at(double slip) {
    const double sense = request_.generator ? -1 : 1;
    const CageExcitation e = excitation_of(request_.supply, sense * slip);
    last_.point = begun_ ? runner_.at(e, last_.point) : runner_.at(std::vector<CageExcitation>{e}, 0, 0.2).front();
    begun_ = true;
    last_.iron = request_.iron_loss ? iron_loss_of(context_, last_.point).total() : 0;
    if (request_.given == CageLoad::torque) return sense * last_.point.field.torque;
    if (request_.given == CageLoad::shaft_power) return sense * figures_of(last_.point, context_.section).shaft;
    return sense * terminal_power(last_, phase_count(context_.section));
  }
  const CageLoadPoint& last() const { return last_; }

 private:
  const StudyContext& context_;
  SlipRunner& runner_;
  const CageLoadRequest& request_;
  CageLoadPoint last_;
  bool begun_ = false;
};

std::string text_of(const CageLoadRequest& r, double load) {
  return r.given == CageLoad::torque ? fmt::format("{:.5g} N m", load) : fmt::format("{:.5g} kW", 1e-3 * load);
}

[[noreturn]] void refuse_most(const CageLoadRequest& r, double most, const SlipPoint& at, const Block& study) {
  throw InputError(fmt::format("{} cannot be reached: at this voltage and frequency the largest is {}, at slip {:.4g}",
                               text_of(r, r.wanted), text_of(r, most), at.slip),
                   "ask for less, or give more voltage", study.place);
}

struct Ends {
  double low, f_low, high, f_high;  // f_low under the wanted load, f_high not
};

/// From the starting slip outwards until the load is met, or has its maximum behind it.
Ends bracket_of(Load1D& load, const CageLoadRequest& r, const Block& study) {
  double before = 0, low = 0, f_before = 0;
  double f_low = r.given == CageLoad::terminal_power ? load.at(0) : 0;
  if (f_low > r.wanted)
    throw InputError(fmt::format("{} cannot be reached: at synchronous speed the machine already takes {}",
                                 text_of(r, r.wanted), text_of(r, f_low)),
                     "ask for more, or for operation as a generator", study.place);
  for (double slip = r.start;; slip *= 1.5) {
    slip = std::min(slip, 1.0);
    const double f = load.at(slip);
    if (f >= r.wanted) return {low, f_low, slip, f};
    if (f < f_low || slip == 1) {
      if (f >= f_low) refuse_most(r, f, load.last().point, study);
      const Bracket top{before, low, slip, f_before, f_low, f};
      const Peak peak = search_peak([&](double s) { return load.at(s); }, top, 1e-3 * low);
      if (peak.value >= r.wanted) return {before, f_before, peak.at, peak.value};
      load.at(peak.at);
      refuse_most(r, peak.value, load.last().point, study);
    }
    before = low, f_before = f_low;
    low = slip, f_low = f;
  }
}

}  // namespace

Complex current_with_iron(const CageLoadPoint& at, int phases) {
  const CageSolution& s = at.point.field;
  return s.current + 2 * at.iron / (phases * std::norm(s.voltage)) * s.voltage;
}

double terminal_power(const CageLoadPoint& at, int phases) {
  const CageSolution& s = at.point.field;
  return 0.5 * phases * std::real(s.voltage * std::conj(s.current)) + at.iron;
}

std::vector<Parameter> cage_load_parameters() {
  return {
      {.name = "torque",
       .kind = Kind::torque,
       .unit = "N m",
       .lower = 0,
       .upper = 1e7,
       .optional = true,
       .sentence = "Torque at the shaft of a machine with a cage, of a motor against it and of a generator driving; "
                   "instead of the power."},
      {.name = "shaft_power",
       .kind = Kind::power,
       .unit = "kW",
       .lower = 0,
       .upper = 2e6,
       .optional = true,
       .sentence = "Power at the shaft of a machine with a cage, instead of that at the terminals."},
      cage_iron_loss_parameter()};
}

CageLoadRequest read_cage_load(const Case& kase, const Section& section, const Block& study) {
  check_cage_machine(kase, section, study, "a load point");
  const Values& v = study.values;
  std::vector<Diagnostic> faults;
  for (const char* key :
       {"power_factor", "excitation", "field_current", "largest_field_current", "positions", "loss_positions"})
    if (v.has(key) && v.given(key))
      faults.push_back({v.place(key), fmt::format("{}.{} does not fit a rotor with a cage", study.path, key),
                        "leave the key out; the power factor follows from the load"});
  CageLoadRequest r;
  r.wanted = -1;
  for (const auto& [key, load] : {std::pair{"torque", CageLoad::torque},
                                  {"shaft_power", CageLoad::shaft_power},
                                  {"power", CageLoad::terminal_power}}) {
    if (!v.has(key)) continue;
    if (r.wanted >= 0)
      faults.push_back({v.place(key), fmt::format("{}.{} is given beside another load", study.path, key),
                        "give one of torque, shaft_power and power"});
    r.wanted = v.number(key);
    r.given = load;
  }
  if (!faults.empty()) throw InputError(faults);
  const PerUnitBase base = per_unit_base(kase.machine);
  if (r.wanted < 0) r.wanted = base.power * kase.machine.rating.values.number("power_factor");
  r.generator = v.given("operation") && v.text("operation") == "generator";
  r.supply = read_cage_supply(kase, section, study);
  r.iron_loss = wants_iron_loss(kase, section, study);
  if (const double rated = std::abs(rated_slip(kase, section)); rated > 0) r.start = rated;
  return r;
}

CageLoadPoint solve_cage_load(const StudyContext& context, SlipRunner& runner, const CageLoadRequest& request,
                              const Block& study) {
  Load1D load(context, runner, request);
  Ends e = bracket_of(load, request, study);
  // Regula falsi; an end that stays counts half the next time (Illinois).
  const double want = request.wanted, close = 1e-7 * std::max(want, 1e-3 * std::abs(e.f_high));
  double g_low = e.f_low - want, g_high = e.f_high - want;
  for (int k = 0, kept = 0; k < 60 && std::abs(g_high) > 0; ++k) {
    const double slip = e.low + (e.high - e.low) * g_low / (g_low - g_high), g = load.at(slip) - want;
    if (std::abs(g) < close) break;
    if (g > 0) {
      e.high = slip, g_high = g;
      if (kept == 1) g_low *= 0.5;
      kept = 1;
    } else {
      e.low = slip, g_low = g;
      if (kept == -1) g_high *= 0.5;
      kept = -1;
    }
  }
  return load.last();
}

std::vector<Excitation> cage_load_states(const Case& kase, const Section& section, const Block& study) {
  const CageLoadRequest r = read_cage_load(kase, section, study);
  return cage_states(kase, section, r.supply.ends, {excitation_of(r.supply, r.generator ? -r.start : r.start)});
}

std::vector<double> cage_load_edges(const Case& kase, const Section& section, const Block& study) {
  return skin_limits(kase, section, 0.2 * read_cage_load(kase, section, study).supply.omega);
}

}  // namespace polepitch
