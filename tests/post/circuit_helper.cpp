#include "circuit_helper.h"

#include <fmt/format.h>
#include <gtest/gtest.h>
#include <unistd.h>

#include <array>
#include <cmath>
#include <cstdio>
#include <filesystem>
#include <fstream>
#include <sstream>

#include "post/circuit_files.h"

namespace polepitch {

FluxMapPoint saturating_machine(double i_d, double i_q) {
  const double d = std::tanh(i_d / 150), q = std::tanh(i_q / 120);
  FluxMapPoint p;
  p.lambda_d = 0.08 + 0.06 * d;
  p.lambda_q = 0.15 * q * (1 + 0.1 * d);
  p.torque = 1.5 * 4 * (p.lambda_d * i_q - p.lambda_q * i_d);
  return p;
}

CircuitModel circuit_example() {
  CircuitModel model;
  model.machine = "example";
  model.title = "Example & test (invented)";
  model.version = "test";
  model.pole_pairs = 4;
  model.base = CircuitBase{36000, 163.3, 146.97, 1.1111, 400 * std::acos(-1.0), 200, 0.85};
  model.winding.parameters = {{"R_phase", 0.03, "ohm", {}, 0.027, "Resistance of a phase."},
                              {"R_field", 20, "ohm", {}, {}, "Resistance of the field winding."}};
  const double omega = model.base->omega;
  model.states = {{"reactances",
                   "phase_current = 10 A, rotor_angle = 0 deg",
                   {{"X_d_apparent", omega * 1e-3, "ohm", 0.01, 1.131, "Direct axis."},
                    {"X_q_apparent", omega * 0.6e-3, "ohm", {}, 0.6786, "Quadrature axis, \"apparent\"."},
                    {"X_df", omega * 20e-3, "ohm", {}, {}, "Mutual of field and direct axis."},
                    {"X_ad", omega * 0.9e-3, "ohm", {}, 1.018, "Magnetising."},
                    {"T_do_transient", 0.4, "s", {}, {}, "Open-circuit time constant."},
                    {"L_ff", 0.8, "H", {}, {}, "Field winding."}}}};
  CircuitMap map;
  map.result = {"flux-map", {}, 6, 4e-4, 2e-4};
  FluxMap& m = map.result.map;
  m.pole_pairs = 4;
  for (int i = 0; i < 17; ++i) m.i_d.push_back(-160 + 20.0 * i), m.i_q.push_back(-160 + 20.0 * i);
  m.i_f = {0};
  for (double q : m.i_q)
    for (double d : m.i_d) {
      const FluxMapPoint p = saturating_machine(d, q);
      m.lambda_d.push_back(p.lambda_d);
      m.lambda_q.push_back(p.lambda_q);
      m.lambda_f.push_back(0);
      m.torque.push_back(p.torque);
    }
  map.inverse = inverse_maps(m);
  model.maps = {map};
  return model;
}

WoundPoint saturating_wound(double i_d, double i_q, double i_f) {
  const double d = std::tanh((i_d + 20 * i_f) / 150), q = std::tanh(i_q / 120);
  WoundPoint p;
  p.lambda_d = 0.12 * d + 2e-4 * i_d;
  p.lambda_q = 0.15 * q * (1 - 0.1 * d * d);
  p.lambda_f = 3.6 * d + 0.3 * i_f;
  p.torque = 1.5 * 4 * (p.lambda_d * i_q - p.lambda_q * i_d);
  return p;
}

CircuitModel wound_example() {
  CircuitModel model = circuit_example();
  FluxMap& m = model.maps[0].result.map;
  m.i_f = {0, 1, 2, 3, 4};
  for (std::vector<double>* values : {&m.lambda_d, &m.lambda_q, &m.lambda_f, &m.torque}) values->clear();
  for (double f : m.i_f)
    for (double q : m.i_q)
      for (double d : m.i_d) {
        const WoundPoint p = saturating_wound(d, q, f);
        m.lambda_d.push_back(p.lambda_d);
        m.lambda_q.push_back(p.lambda_q);
        m.lambda_f.push_back(p.lambda_f);
        m.torque.push_back(p.torque);
      }
  model.maps[0].inverse = inverse_maps(m);
  return model;
}

CircuitModel induction_example() {
  CircuitModel model;
  model.machine = "induction";
  model.title = "Two cages (invented)";
  model.version = "test";
  model.pole_pairs = 2;
  model.base = CircuitBase{15000, 326.6, 30.62, 10.667, 100 * std::acos(-1.0), 400, 0.85};
  InductionCircuit c;
  c.cages = 2;
  c.pole_pairs = 2;
  c.omega = model.base->omega;
  c.r_1 = 0.4, c.x_1 = 1.9, c.x_m = 35, c.r_a = 1.6, c.r_b = 0.6, c.x_b = 1.4;
  const InductionCircuit t = to_t_form(c, 0.95);
  const auto ohms = [&](const char* symbol, double value) {
    return CircuitParameter{symbol, value, "ohm", {}, value / model.base->impedance, "Element."};
  };
  const CircuitParameter frequency{"frequency", 50, "Hz", {}, {}, "Of the supply."};
  model.induction = {{"slip",
                      "double cage, inverse-gamma form",
                      {frequency, ohms("R_1", c.r_1), ohms("X_sigma", c.x_1), ohms("X_M", c.x_m), ohms("R_a", c.r_a),
                       ohms("R_b", c.r_b), ohms("X_b", c.x_b)}},
                     {"slip",
                      "double cage, T form",
                      {frequency, ohms("R_1", t.r_1), ohms("X_1", t.x_1), ohms("X_m", t.x_m), ohms("X_2", t.x_2),
                       ohms("R_a", t.r_a), ohms("R_b", t.r_b), ohms("X_b", t.x_b)}}};
  return model;
}

CircuitFolder::CircuitFolder(const CircuitModel& model) {
  std::string name = std::filesystem::temp_directory_path() / "circuit-XXXXXX";
  if (!mkdtemp(name.data())) throw std::runtime_error("no temporary folder");
  path_ = name;
  write_circuit_files(model, path_);
}

CircuitFolder::~CircuitFolder() {
  std::error_code ignored;
  std::filesystem::remove_all(path_, ignored);
}

std::string CircuitFolder::text(const std::string& file) const {
  std::ifstream in(path_ + "/" + file);
  EXPECT_TRUE(in.good()) << file << " is missing";
  std::ostringstream all;
  all << in.rdbuf();
  return all.str();
}

std::string CircuitFolder::run(const std::string& command) const {
  FILE* pipe = popen(("cd '" + path_ + "' && " + command + " 2>error.log").c_str(), "r");
  if (!pipe) throw std::runtime_error("no shell");
  std::string out;
  std::array<char, 4096> block{};
  while (const size_t n = fread(block.data(), 1, block.size(), pipe)) out.append(block.data(), n);
  EXPECT_EQ(pclose(pipe), 0) << command << "\n" << text("error.log") << out;
  return out;
}

TransientEnd spice_transient(const CircuitFolder& folder, const std::string& subcircuit, std::complex<double> voltage,
                             int pole_pairs, double omega, double duration, double field_volts, bool star,
                             double speed) {
  // The vector of a delta's terminals over that of its phases: 1/√3 and 30° behind in voltage, √3 in current.
  const std::complex<double> delta = std::polar(std::sqrt(3.0), -std::acos(-1.0) / 6);
  const std::complex<double> terminal = star ? voltage : voltage / std::conj(delta);
  const double pi = std::acos(-1.0), step = 2 * pi / omega / 1000;
  const bool wound = subcircuit.find("linear") != std::string::npos || subcircuit.find("field") != std::string::npos;
  std::string deck = fmt::format("* transient to the steady state\n.include {}.cir\n", subcircuit);
  for (int k = 0; k < 3; ++k)
    deck += fmt::format("V{0} {0} 0 SIN(0 {1:.15g} {2:.15g} 0 0 {3:.15g})\n", "abc"[k], std::abs(terminal),
                        omega / (2 * pi), (std::arg(terminal) + pi / 2) * 180 / pi - 120 * k);
  deck += fmt::format("Rn n 0 1\nVspeed speed 0 {:.15g}\nRt torque 0 1k\n", speed != 0 ? speed : omega / pole_pairs);
  if (wound) deck += fmt::format("Vf f1 0 {:.15g}\n", field_volts);
  deck += fmt::format("X1 a b c {}{}speed torque {}\n", star ? "n " : "", wound ? "f1 0 " : "", subcircuit);
  deck += fmt::format(".options reltol=1e-6 abstol=1e-9 vntol=1e-9\n.tran {0:.12g} {1:.12g} {2:.12g} {0:.12g} uic\n",
                      step, duration, duration - 10 * step);
  deck +=
      fmt::format(".control\nset numdgt=12\nrun\nwrdata end.txt i(va) i(vb) i(vc) v(torque){}\nquit 0\n.endc\n.end\n",
                  wound ? " i(vf)" : "");
  std::ofstream(folder.path() + "/deck.cir") << deck;
  folder.run("ngspice -b deck.cir");
  std::istringstream lines(folder.text("end.txt"));
  std::array<double, 10> row{};  // time before each value
  const size_t count = wound ? 10 : 8;
  for (bool more = true; more;)
    for (size_t i = 0; i < count && more; ++i) {
      double value = 0;
      more = static_cast<bool>(lines >> value);
      if (more) row[i] = value;
    }
  TransientEnd end;
  end.torque = row[7];
  end.i_f = -row[9];
  std::complex<double> sum;
  for (int k = 0; k < 3; ++k) sum -= row[2 * k + 1] * std::polar(2.0 / 3, 2 * pi / 3 * k - omega * row[0]);
  if (!star) sum /= delta;
  end.i_d = sum.real();
  end.i_q = sum.imag();
  return end;
}

}  // namespace polepitch
