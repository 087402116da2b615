#include "cases/stepping_tape.h"

namespace polepitch {
namespace {

/// One list of what goes both ways: `visit(number)`.
template <class State, class Visit>
void each_number(State& s, Visit visit) {
  for (auto* value : {&s.time, &s.angle, &s.speed, &s.acceleration, &s.torque, &s.stored, &s.scale, &s.mass_scale,
                      &s.power.source, &s.power.copper, &s.power.eddy, &s.power.ring, &s.power.field, &s.power.circuit})
    visit(*value);
}

template <class Record, class Visit>
void each_total(Record& r, Visit visit) {
  for (auto* value :
       {&r.totals.source, &r.totals.copper, &r.totals.eddy, &r.totals.ring, &r.totals.stored, &r.totals.shaft})
    visit(*value);
}

template <class Record, class Visit>
void each_count(Record& r, Visit visit) {
  for (auto* value : {&r.steps, &r.refused, &r.newton_steps, &r.factorisations, &r.iterations}) visit(*value);
}

void put(Tape& tape, const TransientLevel& level) {
  tape.put(level.a);
  tape.put(std::vector<double>(level.circuits.data(), level.circuits.data() + level.circuits.size()));
}

void get(Tape& tape, TransientLevel& level) {
  level.a = tape.get_list();
  const std::vector<double> c = tape.get_list();
  level.circuits = Eigen::Map<const Eigen::VectorXd>(c.data(), static_cast<Eigen::Index>(c.size()));
}

}  // namespace

void put(Tape& tape, const TransientState& state) {
  each_number(state, [&](double value) { tape.put(value); });
  tape.put(state.fresh ? 1 : 0);
  put(tape, state.at);
  put(tape, state.rate);
}

void get(Tape& tape, TransientState& state) {
  each_number(state, [&](double& value) { value = tape.get(); });
  state.fresh = tape.get() != 0;
  get(tape, state.at);
  get(tape, state.rate);
}

void put(Tape& tape, const SteppingRecord& record) {
  each_total(record, [&](double value) { tape.put(value); });
  each_count(record, [&](int value) { tape.put(value); });
  tape.put(record.stopped ? 1 : 0);
  for (const Column& column : record.log.columns) tape.put(column.values);
  tape.put(static_cast<double>(record.frames.size()));
  for (const SteppingFrame& f : record.frames) {
    for (double value : {f.time, f.angle, f.torque}) tape.put(value);
    tape.put(f.a);
    tape.put(f.currents);
  }
}

void get(Tape& tape, SteppingRecord& record) {
  each_total(record, [&](double& value) { value = tape.get(); });
  each_count(record, [&](int& value) { value = static_cast<int>(tape.get()); });
  record.stopped = tape.get() != 0;
  for (Column& column : record.log.columns) column.values = tape.get_list();
  record.frames.resize(static_cast<std::size_t>(tape.get()));
  for (SteppingFrame& f : record.frames) {
    for (double* value : {&f.time, &f.angle, &f.torque}) *value = tape.get();
    f.a = tape.get_list();
    f.currents = tape.get_list();
  }
}

}  // namespace polepitch
