#include "post/circuit_files.h"

#include "post/atomic_file.h"

namespace polepitch {

void write_circuit_files(const CircuitModel& model, const std::string& directory) {
  make_directory(directory);
  const std::string canonical = circuit_json(model);
  write_file(directory + "/circuit.json", canonical);
  const CircuitModel read = read_circuit_json(canonical);
  for (const auto& writer : {spice_files, modelica_files, cim_files, csv_files})
    for (const CircuitFile& file : writer(read)) write_file(directory + "/" + file.name, file.text);
  write_mat(read, directory + "/machine.mat");
}

}  // namespace polepitch
