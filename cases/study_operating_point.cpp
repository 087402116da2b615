// operating-point: currents given; torque, linkages, air-gap field, MMF vectors, flux density of teeth and yokes.
#include <cmath>

#include "cases/field_iron_loss.h"
#include "cases/field_map.h"
#include "cases/load.h"
#include "cases/skew.h"
#include "cases/study_list.h"
#include "cases/study_tools.h"
#include "cases/sweep.h"
#include "post/dq.h"
#include "post/gap_quantities.h"
#include "post/mmf.h"
#include "post/torque.h"

namespace polepitch {
namespace {

constexpr double kDegree = pi / 180;

/// What is kept of each position.
struct PositionRecord {
  TorqueRecord torque;
  Dq linkage, current;
  double field_linkage = 0, field_current = 0, b_radial = 0, b_tangential = 0;
  std::vector<GapOrder> spectrum;
  MmfVectors mmf;
  TorqueAngle angle;
};

PositionRecord record_position(const Section& section, const MmfMoments& moments, const SolvedPoint& point,
                               double end_winding, double park_angle) {
  PositionRecord r;
  const double angle = point.solution.rotor_angle;
  r.torque = torque_record(point.field, point.solution, point.excitation);
  const std::vector<double> linkages = point.field.linkages(point.solution);
  r.current = phases_to_dq(section, point.excitation.currents, park_angle);
  r.linkage = phases_to_dq(section, linkages, park_angle);
  r.linkage.d += end_winding * r.current.d;
  r.linkage.q += end_winding * r.current.q;
  if (const int f = field_branch(section); f >= 0) {
    r.field_linkage = linkages[f];
    r.field_current = point.excitation.currents[f];
  }
  r.spectrum = gap_spectrum(point.solution.gap, section.pole_pairs);
  for (const GapOrder& o : r.spectrum)
    if (o.order == section.pole_pairs) {
      r.b_radial = o.radial;
      r.b_tangential = o.tangential;
    }
  r.mmf = mmf_vectors(section, moments, point.excitation);
  r.angle = torque_angle(r.mmf, section.pole_pairs, angle);
  return r;
}

/// One record a position: torque and linkages are means over the slices, all else is the middle slice's.
std::vector<PositionRecord> over_slices(const std::vector<PositionRecord>& slices, size_t each) {
  std::vector<PositionRecord> records;
  for (size_t i = 0; i < slices.size(); i += each) {
    PositionRecord mean = slices[i + each / 2];
    mean.torque = {};
    mean.linkage = {};
    mean.field_linkage = 0;
    const double share = 1 / static_cast<double>(each);
    for (size_t k = i; k < i + each; ++k) {
      for (double TorqueRecord::*part :
           {&TorqueRecord::annulus, &TorqueRecord::virtual_work_stator, &TorqueRecord::virtual_work_rotor,
            &TorqueRecord::arkkio_stator, &TorqueRecord::arkkio_rotor, &TorqueRecord::from_linkages})
        mean.torque.*part += share * (slices[k].torque.*part);
      for (double Dq::*axis : {&Dq::d, &Dq::q, &Dq::zero}) mean.linkage.*axis += share * (slices[k].linkage.*axis);
      mean.field_linkage += share * slices[k].field_linkage;
    }
    records.push_back(std::move(mean));
  }
  return records;
}

template <class Member>
std::vector<double> column(const std::vector<PositionRecord>& records, Member member) {
  std::vector<double> values;
  for (const PositionRecord& r : records) values.push_back(member(r));
  return values;
}

void report_torque(Recorder& out, const std::vector<PositionRecord>& records, bool has_phases) {
  using R = const PositionRecord&;
  out.add_mean("torque_mean", column(records, [](R r) { return r.torque.annulus; }), "annulus harmonics").key_result =
      true;
  out.add_mean("torque_virtual_work_stator", column(records, [](R r) { return r.torque.virtual_work_stator; }),
               "nodal virtual work");
  out.add_mean("torque_virtual_work_rotor", column(records, [](R r) { return r.torque.virtual_work_rotor; }),
               "nodal virtual work");
  out.add_mean("torque_arkkio_stator", column(records, [](R r) { return r.torque.arkkio_stator; }), "volume integral");
  out.add_mean("torque_arkkio_rotor", column(records, [](R r) { return r.torque.arkkio_rotor; }), "volume integral");
  if (has_phases) out.add_mean("torque_dq", column(records, [](R r) { return r.torque.from_linkages; }), "dq linkages");
}

void report_linkages(Recorder& out, const std::vector<PositionRecord>& records, const Section& section, double omega) {
  using R = const PositionRecord&;
  if (phase_count(section) > 0) {
    out.add_mean("i_d", column(records, [](R r) { return r.current.d; }), "given");
    out.add_mean("i_q", column(records, [](R r) { return r.current.q; }), "given");
    out.add_mean("lambda_d", column(records, [](R r) { return r.linkage.d; }), "mean A over coil sides").key_result =
        true;
    out.add_mean("lambda_q", column(records, [](R r) { return r.linkage.q; }), "mean A over coil sides").key_result =
        true;
    out.add_mean("lambda_0", column(records, [](R r) { return r.linkage.zero; }), "mean A over coil sides");
    if (omega > 0)
      out.add_mean(
             "E_phase",
             column(records, [omega](R r) { return omega * std::hypot(r.linkage.d, r.linkage.q) / std::sqrt(2.0); }),
             "omega times linkage")
          .key_result = true;
  }
  if (field_branch(section) >= 0) {
    out.add_mean("i_field", column(records, [](R r) { return r.field_current; }), "given");
    out.add_mean("lambda_field", column(records, [](R r) { return r.field_linkage; }), "mean A over coil sides");
  }
}

void report_gap(Recorder& out, const std::vector<PositionRecord>& records, const Section& section,
                const StaticSolution& first) {
  using R = const PositionRecord&;
  out.add_mean("B_r1", column(records, [](R r) { return r.b_radial; }), "annulus harmonics").key_result = true;
  out.add_mean("B_theta1", column(records, [](R r) { return r.b_tangential; }), "annulus harmonics");
  out.add_mean("B_r_harmonic_content",
               column(records, [&](R r) { return harmonic_content(r.spectrum, section.pole_pairs); }),
               "annulus harmonics");
  const GapWaveform wave = gap_waveform(first.gap, 4096, 2 * pi);
  Quantity& peak = out.add("B_r_peak", peak_radial(wave), "annulus harmonics, first position");
  peak.positions = 1;
  Quantity& mean = out.add("B_r_mean", mean_absolute_radial(wave), "annulus harmonics, first position");
  mean.positions = 1;
}

/// MMF vectors at the first position, the gap fluxes they make, and what a uniform gap would give for torque.
void report_mmf(Recorder& out, StudyContext& context, const PositionRecord& first, const StaticSolution& solution,
                const Excitation& excitation) {
  const Section& section = context.section;
  const auto vector = [&](const char* name, const char* angle_name, std::complex<double> f) {
    out.add(name, std::abs(f), "current sheets").positions = 1;
    if (std::abs(f) > 0) out.add(angle_name, std::arg(f) / kDegree, "current sheets").positions = 1;
  };
  vector("F_s", "F_s_angle", first.mmf.stator);
  vector("F_r", "F_r_angle", first.mmf.rotor);
  Quantity& angle = out.add("torque_angle", first.angle.angle / kDegree,
                            first.angle.from_d_axis ? "F_s from the rotor's d-axis" : "arg F_s - arg F_r");
  angle.positions = 1;
  angle.key_result = true;
  const GapFluxVectors flux = gap_flux_vectors(context.fields.of(0), solution, excitation);
  out.add("Phi_s", std::abs(flux.stator), "frozen reluctivity").positions = 1;
  out.add("Phi_r", std::abs(flux.rotor), "frozen reluctivity").positions = 1;
  out.add("Phi_gap", std::abs(flux.total), "annulus harmonics").positions = 1;
  const double radius = solution.gap.mean_radius();
  const bool from_rotor = std::abs(first.mmf.rotor) > 0;
  const double f = std::abs(from_rotor ? first.mmf.rotor : first.mmf.stator);
  const double phi = std::abs(from_rotor ? flux.rotor : flux.stator);
  if (f <= 0 || phi <= 0) return;
  const double gap = equivalent_gap(f, phi, section.pole_pairs, radius, section.length);
  out.add("equivalent_gap", gap, "mu_0 F/B_r1").positions = 1;
  out.add("torque_uniform_gap",
          uniform_gap_torque(first.mmf, first.angle.angle, section.pole_pairs, radius, section.length, gap),
          "F_s F_r sin(torque angle)")
      .positions = 1;
}

ResultCurve position_curve(const StudyContext& context, const std::vector<Excitation>& points,
                           const std::vector<PositionRecord>& records) {
  ResultCurve curve{context.name, "positions", "Torque over the positions of the mean", {}, false};
  Column angle{"rotor_angle", "deg", {}}, torque{"torque", "N m", {}};
  for (size_t i = 0; i < points.size(); ++i) {
    angle.values.push_back(points[i].rotor_angle / kDegree);
    torque.values.push_back(records[i].torque.annulus);
  }
  curve.columns = {angle, torque};
  return curve;
}

StudyResult run(StudyContext& context, const Block& study) {
  const Load load = read_load(context.kase, context.section, study);
  const Section& section = context.section;
  const std::vector<Excitation> points = mean_positions(section, load);
  const MmfMoments moments = mmf_moments(context.fields.of(0));
  const double end_winding = end_winding_of(context);
  const std::vector<bool> keep = chosen_frames(context, points.size());
  const std::vector<double> offsets = skew_offsets(context.kase);
  const size_t each = offsets.size();
  std::vector<PositionRecord> slices(points.size() * each);
  std::vector<StaticSolution> kept(points.size());
  FluxDensityRecords flux(context, slices.size());
  sweep(context, in_slices(points, offsets), [&](const SolvedPoint& point) {
    const size_t position = point.index / each;
    // Under a cage the vectors stand still in space: they are read from the d-axis of the first position.
    const double park = has_bars(section) ? load.rotor_angle : points[position].rotor_angle;
    slices[point.index] = record_position(section, moments, point, end_winding, park);
    flux.add(point.index, point.field, point.solution);
    if (point.index % each == each / 2 && (keep[position] || position == 0)) kept[position] = point.solution;
  });
  const std::vector<PositionRecord> records = over_slices(slices, each);

  StudyResult result;
  Recorder out(result, context.name, describe_load(section, load), load.positions);
  report_torque(out, records, phase_count(section) > 0);
  report_linkages(out, records, section, context.kase.machine.rating.present ? rated_omega(context.kase) : 0);
  report_gap(out, records, section, kept[0]);
  report_mmf(out, context, records[0], kept[0], points[0]);
  flux.finish(context, result);
  if (study.values.has("loss_positions"))
    report_iron_loss(
        out, solve_iron_loss(context,
                             {load.current * std::cos(load.current_angle), load.current * std::sin(load.current_angle),
                              load.field_current},
                             study.values.integer("loss_positions"), rated_omega(context.kase) / (2 * pi)));
  result.results.curves.push_back(
      waveform_curve(context.name, "gap", gap_waveform(kept[0].gap, 720 * section.pole_pairs, 2 * pi)));
  result.results.curves.push_back(spectrum_curve(context.name, "gap_spectrum", records[0].spectrum));
  if (points.size() > 1) result.results.curves.push_back(position_curve(context, points, records));
  for (size_t i = 0; i < points.size(); ++i)
    if (keep[i])
      result.frames.push_back({context.name, points[i], std::move(kept[i]), static_cast<double>(result.frames.size())});
  return result;
}

std::vector<Parameter> parameters() {
  std::vector<Parameter> list = load_parameters();
  list.push_back(optional_loss_positions());
  return list;
}

void check(const Case& kase, const Section& section, const Block& study) {
  read_load(kase, section, study);
  const Values& v = study.values;
  if (!v.has("loss_positions")) return;
  check_map_machine(section, study, "the iron loss of a synchronous machine");
  check_iron_loss(kase, section, study);
  if (v.has("phase_currents"))
    throw InputError(study.path + ".loss_positions is given beside phase_currents, which do not follow the rotor",
                     "give phase_current and current_angle", v.place("loss_positions"));
  if (!kase.machine.rating.present)
    throw InputError(study.path + ".loss_positions is given, and without a [rating] there is no rated frequency",
                     "give the machine a [rating]", v.place("loss_positions"));
}

}  // namespace

StudyType operating_point_study() {
  return {"operating-point",
          "Currents given: torque, flux linkages, air-gap field, MMF vectors with the torque angle between them, flux "
          "density of teeth, yokes and poles against their limits.",
          parameters(),
          run,
          check,
          false,
          [](const Case& kase, const Section& section, const Block& study) {
            return adaption_states(section, read_load(kase, section, study));
          },
          {},
          true};
}

}  // namespace polepitch
