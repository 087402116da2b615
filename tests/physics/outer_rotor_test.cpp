// Rotors that turn around their stator: magnets on the inside of a permeable ring, a smooth permeable stator in the
// middle. Expected values: the formulas of Z. Q. Zhu, D. Howe, E. Bolte, B. Ackermann, IEEE Trans. Magn. 29(1), 1993,
// whose matching of rings never asks which radius is the larger one (published), separation of variables in each ring,
// and the force on the currents, integrated (formulas).
#include <gtest/gtest.h>

#include <cmath>

#include <fmt/format.h>

#include "post/dq.h"
#include "tests/cases/case_text_helper.h"
#include "tests/cases/hand_formulas_helper.h"
#include "tests/physics/layered_helper.h"
#include "tests/physics/machine_helper.h"
#include "tests/physics/ring_helper.h"
#include "tests/verification_helper.h"

namespace polepitch::test {
namespace {

/// Radii from the inside, m; the magnets cover `arc` of the pole pitch.
struct Ring {
  int pole_pairs;
  double shell, stator, face, back;
  double arc, remanence, mu_r;
  int segments;  // of a pole; the ones at its ends carry no magnet

  double middle() const { return 0.5 * (stator + face); }
  int sectors() const { return 2 * pole_pairs; }
};

constexpr Ring kFourteenPole = {7, 0.0435, 0.045, 0.046, 0.0495, 0.8, 1.1, 1.05, 10};

/// The currents, if any, flow in a shell of the stator.
Section draw(const Ring& ring, int shell_segments = 0) {
  RingMachine m;
  m.pole_pairs = ring.pole_pairs;
  m.sectors = ring.sectors();
  m.sign = -1;
  m.segments = ring.segments * m.sectors;
  m.stator_radii = {ring.shell, ring.stator};
  m.rotor_radii = {ring.face, ring.back};
  m.rotor_start = -pi / m.sectors;
  m.inner = m.outer = FarBoundary::permeable;
  for (int k = 0; k < shell_segments; ++k) m.branches.push_back({"segment", BranchKind::phase, 0});
  m.dress = [&ring, shell_segments](Side side, int layer, int segment, double, Region& r) {
    if (side == Side::stator && layer == 0 && shell_segments > 0) r.branch = segment, r.turns = 1;
    if (side == Side::stator || layer == 0) return;  // the rotor's innermost layer is its share of the gap
    r.material = "magnet";
    if (segment > 0 && segment < ring.segments - 1) r.magnetisation = {Magnetisation::Pattern::radial, 0, 1};
  };
  return draw_rings(m);
}

/// Amplitude of the electrical order by separation of variables; square wave of the arc: (4/νπ) Br sin(νπ arc/2).
LayeredField exact(const Ring& ring, int order) {
  const double b = 4 / (order * pi) * ring.remanence * std::sin(order * pi * ring.arc / 2);
  return {order * ring.pole_pairs, ring.shell, {{ring.face, 1, 0, 0}, {ring.back, ring.mu_r, 0, b}}};
}

GapField::FluxOrder order_of(const GapField& gap, double r, int order) {
  for (const GapField::FluxOrder& f : gap.spectrum(r))
    if (f.order == order) return f;
  ADD_FAILURE() << "the gap has no order " << order;
  return {};
}

// Both closed forms are one solution; the published one is asked for its first order. Rounding.
TEST(OuterRotor, SeparationOfVariablesIsThePublishedForm) {
  const Ring& r = kFourteenPole;
  const double mid = (r.shell + r.face) / 2;  // where the published form is taken, its stator being the shell's inside
  record_check("rotor outside, 14 poles: B_r1 by separation of variables", exact(r, 1).radial(mid).real(),
               hand::surface_magnet_field(r.pole_pairs, r.back, r.face, r.shell, r.arc, r.remanence, r.mu_r), 1e-12,
               "T", "Zhu, Howe, Bolte, Ackermann 1993 (formula)", kPublished);
}

// Amplitude and sign of both components of all orders that carry flux, in a turned rotor. Tolerance as inside the bore:
// 1e-5 T for the corners of the magnets' current sheets.
TEST(OuterRotor, EveryOrderOfATurnedRotor) {
  const Ring& ring = kFourteenPole;
  const Section section = draw(ring);
  const Mesh mesh = mesh_section(section, {2, true});
  StaticField field(section, mesh, ring_materials(ring.remanence, ring.mu_r));
  Excitation turned;
  turned.rotor_angle = 0.21;
  const StaticSolution solution = field.solve(turned);
  for (int order : {1, 3, 5, 7, 9, 11, 13}) {
    const int n = order * ring.pole_pairs;
    const GapField::FluxOrder found = order_of(solution.gap, ring.middle(), n);
    const std::complex<double> phase = std::polar(1.0, -n * turned.rotor_angle);
    const std::complex<double> radial = phase * exact(ring, order).radial(ring.middle());
    const std::complex<double> tangential = phase * exact(ring, order).tangential(ring.middle());
    record_check(fmt::format("rotor outside, 14 poles, order {}: |B_r| off the closed form", order),
                 std::abs(found.radial - radial), 0, 1e-5, "T", "separation of variables (formula)", kClosedForm);
    EXPECT_NEAR(std::abs(found.tangential - tangential), 0, 1e-5) << order;
  }
  record_check("rotor outside, 14 poles: torque without current, over B_r1²/μ0 of a gap's surface",
               field.torque(solution) / (2 * pi * ring.middle() * ring.middle() / mu0), 0, 1e-5, "1",
               "nothing to hold the rotor (formula)", kClosedForm);
}

/// Force on the currents of the shell in the magnets' field, by reaction on the rotor: T/L = −Σ J ∫ r B_r dS over each
/// segment of all sectors. Own fields of the currents turn nothing: all rings are round, and magnets as permeable as
/// air.
double exact_torque(const Ring& ring, const std::vector<double>& currents, double rotor_angle) {
  const double pitch = 2 * pi / (ring.sectors() * static_cast<double>(currents.size()));
  const double area = 0.5 * pitch * (ring.stator * ring.stator - ring.shell * ring.shell);
  double sum = 0;
  for (int order = 1; order < 60; order += 2) {
    const int n = order * ring.pole_pairs, steps = 20;
    const LayeredField field = exact(ring, order);
    double radial = 0;  // ∫ r B_r r dr by Simpson's rule
    for (int i = 0; i <= steps; ++i) {
      const double r = ring.shell + (ring.stator - ring.shell) * i / steps;
      radial += (i == 0 || i == steps ? 1 : i % 2 ? 4 : 2) * r * r * field.radial(r).real();
    }
    radial *= (ring.stator - ring.shell) / (3 * steps);
    for (size_t k = 0; k < currents.size(); ++k) {
      const double from = static_cast<double>(k) * pitch - rotor_angle;
      sum += currents[k] / area * radial * (std::sin(n * (from + pitch)) - std::sin(n * from)) / n;
    }
  }
  return -ring.sectors() * sum;
}

// On a smooth stator, from the annulus and by virtual work on either side, at angles of both signs of torque. The
// torque's error is the field's, 1e-5, and at most the share of the largest torque that this angle has of it.
TEST(OuterRotor, TorqueIsTheForceOnTheCurrents) {
  Ring ring = kFourteenPole;
  ring.mu_r = 1;
  const Section section = draw(ring, ring.segments);
  const Mesh mesh = mesh_section(section, {2, true});
  StaticField field(section, mesh, ring_materials(ring.remanence, ring.mu_r));
  Excitation e;
  for (int k = 0; k < ring.segments; ++k) e.currents.push_back(20 * std::cos((k + 0.5) * pi / ring.segments));
  const auto torque_at = [&](double angle) { return exact_torque(ring, e.currents, angle); };
  const double largest = std::abs(torque_at(0));
  EXPECT_LT(torque_at(0) * torque_at(pi / 7), 0);
  for (double angle : {0.0, 0.05, 0.3}) {
    e.rotor_angle = angle;
    const StaticSolution s = field.solve(e);
    const double expected = torque_at(angle);
    record_check(fmt::format("rotor outside, currents on a smooth stator, rotor at {} rad: T/L", angle),
                 field.torque(s), expected, 2e-5 * largest, "N·m/m", "force on the currents, integrated (formula)",
                 kClosedForm);
    for (Side side : {Side::stator, Side::rotor})
      EXPECT_NEAR(field.torque_virtual_work(s, side), expected, 1e-3 * largest) << angle;
    for (Side side : {Side::stator, Side::rotor})
      EXPECT_NEAR(field.torque_arkkio(s, side), expected, 1e-2 * largest) << angle;
  }
}

std::unique_ptr<TestMachine> slotless() {
  std::string text = case_text("outer");
  const auto replace = [&text](const std::string& from, const std::string& to) {
    ASSERT_NE(text.find(from), std::string::npos) << from;
    text.replace(text.find(from), from.size(), to);
  };
  const size_t begin = text.find("[stator]"), end = text.find("[winding]");
  text.replace(begin, end - begin,
               "[stator]\ntype = \"inner-slotless\"\nouter_diameter = \"90 mm\"\nshell_thickness = \"2 mm\"\n"
               "inner_diameter = \"45 mm\"\nzones = 42\nzone_angle = \"8.571428571 deg\"\n\n");
  replace("layers = 2\ncoil_span = 1", "layers = 1");
  replace("outer_boundary = \"open\"", "outer_boundary = \"zero\"");
  Materials materials = ring_materials(1.1, 1);
  const Materials named = {{"M400-50A", materials.at("iron")}, {"demo-magnet", materials.at("magnet")}};
  return make_machine(text, 2, named);
}

// The catalogue's own drawing: air between magnets that are as permeable as air, so that the rings of the closed form
// are whole. Tolerance: 1e-3 of each order, as far as the corners of the magnets let the smallest ones come.
TEST(OuterRotor, CatalogueMachineHasTheHarmonicsOfTheClosedForm) {
  const auto m = slotless();
  const Ring ring = {7, 0.043, 0.045, 0.046, 0.0495, 0.85, 1.1, 1, 1};
  const StaticSolution s = m->field->solve(dq_excitation(m->section, {0, 0, 0}, 0, 0));
  const double first = exact(ring, 1).radial(ring.middle()).real();
  for (int order : {1, 3, 5, 7, 9}) {
    const double expected = exact(ring, order).radial(ring.middle()).real();
    const double found = order_of(s.gap, ring.middle(), order * ring.pole_pairs).radial.real();
    record_check(fmt::format("drawn rotor outside, slotless: B_r of order {}", order), found, expected,
                 1e-3 * std::abs(expected), "T", "separation of variables (formula)", kClosedForm);
  }
  // The d-axis is where the flux crosses outwards, and links phase A at θ = 0.
  EXPECT_GT(first, 0);
  EXPECT_GT(m->field->linkages(s)[0], 0);
}

// T = (m/2) p (λ_d i_q − λ_q i_d) as the mean over a whole period of the ripple; a winding of one zone a pole and phase
// makes ripple of order 6, 12, … Tolerance: what six positions over 60° alias.
TEST(OuterRotor, TorqueOfLinkagesIsTheGapsTorque) {
  const auto m = slotless();
  const int p = 7, positions = 12;
  double gap = 0, dq = 0;
  for (int k = 0; k < positions; ++k) {
    const double angle = 0.02 + k * pi / 3 / p / positions;
    const Dq current{-4, 9, 0};
    const StaticSolution s = m->field->solve(dq_excitation(m->section, current, 0, angle));
    const Dq lambda = phases_to_dq(m->section, m->field->linkages(s), angle);
    gap += m->field->torque(s) / positions;
    dq += dq_torque(lambda, current, 3, p) / positions;
  }
  EXPECT_GT(gap, 0);  // i_q > 0 drives the rotor counter-clockwise
  record_check("rotor outside: torque of the linkages over that of the gap", dq / gap, 1, 1e-4, "1",
               "T = (m/2) p (λ_d i_q − λ_q i_d), mean over the ripple (formula)", kClosedForm);
}

// On a coarse mesh an edge of the hole in the stator covers 45 degrees beside a flat element; the cuts across the yoke
// end on the true circle, where A = 0. Tolerance: the parabola that stands for the arc.
TEST(OuterRotor, CutsEndOnTheCircleOfTheHole) {
  const auto m = make_machine(case_text("outer"), 0.2);
  const StaticSolution s = m->field->solve(dq_excitation(m->section, {0, 5, 0}, 0, 0));
  double largest = 0;
  for (double a : s.a) largest = std::max(largest, std::abs(a));
  int cuts = 0;
  for (const Gauge& gauge : m->section.gauges) {
    if (gauge.part != Gauge::Part::stator_yoke) continue;
    EXPECT_NEAR(m->field->potential(s, Side::stator, gauge.cuts[0].to), 0, 0.02 * largest) << gauge.name;
    ++cuts;
  }
  EXPECT_EQ(cuts, 6);
}

/// A ring of 46 mm to 60 mm radius with a rectangle of 16 mm by 4 mm in each of 14 poles, its inner side 2 mm from the
/// surface on the pole axis; layers CORE and MAGNET, mm.
std::string ring_with_buried_magnets() {
  const auto line = [](Point a, Point b) {
    return fmt::format("0\nLINE\n8\nMAGNET\n10\n{:.17g}\n20\n{:.17g}\n11\n{:.17g}\n21\n{:.17g}\n", a.x, a.y, b.x, b.y);
  };
  const auto circle = [](double r) { return fmt::format("0\nCIRCLE\n8\nCORE\n10\n0\n20\n0\n40\n{:.17g}\n", r); };
  std::string entities = circle(46) + circle(60);
  for (int pole = 0; pole < 14; ++pole) {
    const double co = std::cos(pole * pi / 7), si = std::sin(pole * pi / 7);
    const auto at = [&](double x, double y) { return Point{x * co - y * si, x * si + y * co}; };
    const Point corners[] = {at(48, -8), at(52, -8), at(52, 8), at(48, 8)};
    for (int i = 0; i < 4; ++i) entities += line(corners[i], corners[(i + 1) % 4]);
  }
  return "0\nSECTION\n2\nHEADER\n9\n$INSUNITS\n70\n4\n0\nENDSEC\n0\nSECTION\n2\nENTITIES\n" + entities +
         "0\nENDSEC\n0\nEOF\n";
}

// Rotors that the catalogue has inside alone come from a drawing: here magnets in the iron of the ring. Areas by
// formula; torque and linkage against the co-energy's slopes (identities, as of the catalogue's machines).
TEST(OuterRotor, BuriedMagnetsFromADrawing) {
  std::string text = case_text("outer");
  text = text.substr(0, text.find("[rotor]")) +
         "[rotor]\ntype = \"outer-drawing\"\nfile = \"ring.dxf\"\nair_gap = \"1 mm\"\naxis = \"0 deg\"\n"
         "[[rotor.area]]\nrole = \"core\"\nlayer = \"CORE\"\n"
         "[[rotor.area]]\nrole = \"magnet\"\nlayer = \"MAGNET\"\nmaterial = \"demo-magnet\"\n";
  const Case kase = read_case_text(text, {{"ring.dxf", ring_with_buried_magnets()}});
  const Section section = draw_section(kase.machine);
  EXPECT_EQ(section.sectors, 2);
  EXPECT_EQ(section.sign, -1);
  EXPECT_NEAR(section.rotor_radius, 0.046, 1e-12);
  double magnets = 0, core = 0;
  for (const Region& region : section.regions)
    if (region.side == Side::rotor)
      (region.role == Role::magnet ? magnets : core) += region.role == Role::air ? 0 : 2 * region.area;
  EXPECT_NEAR(magnets, 14 * 64e-6, 1e-14);
  EXPECT_NEAR(core, pi * (0.06 * 0.06 - 0.046 * 0.046) - magnets, 1e-12);
  const Mesh mesh = mesh_section(section, {0.4, true});
  StaticField field(section, mesh, kase.materials, {.tolerance = 1e-10});
  Excitation e = dq_excitation(section, {-4, 9, 0}, 0, 0.03);
  const StaticSolution here = field.solve(e);
  const auto coenergy = [&](double turn, double more) {
    Excitation changed = e;
    changed.rotor_angle += turn;
    changed.currents[0] += more;
    return field.coenergy(field.solve(changed, &here), changed);
  };
  const auto slope = [](double far, double near, double step) { return (8 * near - far) / (12 * step); };
  const double by_angle = slope(coenergy(6e-4, 0) - coenergy(-6e-4, 0), coenergy(3e-4, 0) - coenergy(-3e-4, 0), 3e-4);
  const double by_current = slope(coenergy(0, 0.04) - coenergy(0, -0.04), coenergy(0, 0.02) - coenergy(0, -0.02), 0.02);
  EXPECT_GT(field.torque(here), 1);
  record_check("rotor outside, buried magnets from a drawing: slope of the co-energy over the torque",
               by_angle / field.torque(here), 1, 1e-6, "1", "T = ∂W'/∂θ (identity)", kByConstruction);
  EXPECT_NEAR(by_current / field.linkages(here)[0], 1, 1e-6);
  EXPECT_GT(field.linkages(field.solve(dq_excitation(section, {0, 0, 0}, 0, 0)))[0],
            0.02);  // the d-axis is a north pole
}

// The mirror image: rotor angle and i_q change their signs, torque does, the linkage of phase A does not. The mesh is
// not its own mirror image, so the tolerance is its error.
TEST(OuterRotor, MirrorImage) {
  const auto m = make_machine(case_text("outer"), 0.8);
  const auto at = [&](double angle, double q) {
    return m->field->solve(dq_excitation(m->section, {-6, q, 0}, 0, angle));
  };
  const StaticSolution here = at(0.04, 12), there = at(-0.04, -12);
  const double torque = m->field->torque(here);
  EXPECT_GT(torque, 5);
  EXPECT_NEAR(m->field->torque(there), -torque, 3e-3 * torque);
  EXPECT_NEAR(m->field->linkages(there)[0], m->field->linkages(here)[0], 1e-3 * std::abs(m->field->linkages(here)[0]));
}

}  // namespace
}  // namespace polepitch::test
