#include <fmt/format.h>
#include <matio.h>

#include <memory>

#include "geometry/error.h"
#include "post/atomic_file.h"
#include "post/circuit_files.h"

namespace polepitch {
namespace {

using Variable = std::unique_ptr<matvar_t, decltype(&Mat_VarFree)>;

Variable array(const std::string& name, const std::vector<double>& values, std::vector<size_t> shape) {
  return {Mat_VarCreate(name.c_str(), MAT_C_DOUBLE, MAT_T_DOUBLE, static_cast<int>(shape.size()), shape.data(),
                        const_cast<double*>(values.data()), 0),
          Mat_VarFree};
}

Variable words(const std::string& name, const std::string& text) {
  size_t shape[2] = {1, text.size()};
  return {Mat_VarCreate(name.c_str(), MAT_C_CHAR, MAT_T_UTF8, 2, shape, const_cast<char*>(text.data()), 0),
          Mat_VarFree};
}

bool put(mat_t* file, const Variable& variable) {
  return variable && Mat_VarWrite(file, variable.get(), MAT_COMPRESSION_NONE) == 0;
}

bool put_values(mat_t* file, const std::string& name, const std::vector<double>& values,
                const std::vector<size_t>& shape) {
  return put(file, array(name, values, shape));
}

/// A structure with one number a field.
bool put_state(mat_t* file, const std::string& name, const CircuitState& state) {
  std::vector<const char*> fields;
  for (const CircuitParameter& p : state.parameters) fields.push_back(p.symbol.c_str());
  size_t shape[2] = {1, 1};
  const Variable all(Mat_VarCreateStruct(name.c_str(), 2, shape, fields.data(), static_cast<unsigned>(fields.size())),
                     Mat_VarFree);
  if (!all) return false;
  // The structure owns its fields.
  for (const CircuitParameter& p : state.parameters)
    Mat_VarSetStructFieldByName(all.get(), p.symbol.c_str(), 0, array(p.symbol, {p.value}, {1, 1}).release());
  return put(file, all);
}

bool put_map(mat_t* file, const std::string& prefix, const CircuitMap& entry, int& inverses) {
  const FluxMap& m = entry.result.map;
  const size_t d = m.i_d.size(), q = m.i_q.size(), f = m.i_f.size();
  bool good = put_values(file, prefix + "i_d", m.i_d, {d, 1}) && put_values(file, prefix + "i_q", m.i_q, {q, 1}) &&
              put_values(file, prefix + "i_field", m.i_f, {f, 1});
  for (const auto& [name, values] : {std::pair{"lambda_d", &m.lambda_d}, std::pair{"lambda_q", &m.lambda_q},
                                     std::pair{"lambda_field", &m.lambda_f}, std::pair{"torque", &m.torque}})
    good = good && put_values(file, prefix + name, *values, {d, q, f});
  for (const InverseMap& i : entry.inverse) {
    const std::string inverse = fmt::format("inverse{}_", ++inverses);
    const size_t rows = i.lambda_d.size(), columns = i.lambda_q.size();
    good = good && put_values(file, inverse + "lambda_d", i.lambda_d, {rows, 1}) &&
           put_values(file, inverse + "lambda_q", i.lambda_q, {columns, 1}) &&
           put_values(file, inverse + "i_d", i.i_d, {rows, columns}) &&
           put_values(file, inverse + "i_q", i.i_q, {rows, columns}) &&
           put_values(file, inverse + "i_field", {i.i_f}, {1, 1});
  }
  return good;
}

bool write_all(const CircuitModel& model, const std::string& path) {
  const std::unique_ptr<mat_t, decltype(&Mat_Close)> file(Mat_CreateVer(path.c_str(), nullptr, MAT_FT_MAT5), Mat_Close);
  if (!file) return false;
  bool good = put(file.get(), words("conventions", circuit_conventions(model))) &&
              put_values(file.get(), "phases", {static_cast<double>(model.phases)}, {1, 1}) &&
              put_values(file.get(), "pole_pairs", {static_cast<double>(model.pole_pairs)}, {1, 1});
  if (!model.winding.parameters.empty()) good = good && put_state(file.get(), "winding", model.winding);
  int number = 0, inverses = 0;
  for (const CircuitState& state : model.states)
    good = good && put_state(file.get(), fmt::format("state{}", ++number), state);
  number = 0;
  for (const CircuitState& circuit : model.induction)
    good = good && put_state(file.get(), fmt::format("induction{}", ++number), circuit);
  number = 0;
  for (const CircuitMap& map : model.maps)
    good = good && put_map(file.get(), fmt::format("map{}_", ++number), map, inverses);
  return good;
}

}  // namespace

void write_mat(const CircuitModel& model, const std::string& path) {
  write_file_with(path, [&](const std::string& temporary) { return write_all(model, temporary); });
}

}  // namespace polepitch
