// States and records of a run in time on a checkpoint's tape.
#pragma once

#include "cases/checkpoint.h"
#include "cases/stepping.h"

namespace polepitch {

void put(Tape& tape, const TransientState& state);
void get(Tape& tape, TransientState& state);
void put(Tape& tape, const SteppingRecord& record);
/// The log's columns must be there.
void get(Tape& tape, SteppingRecord& record);

}  // namespace polepitch
