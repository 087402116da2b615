#include "cases/former_results.h"

#include <algorithm>
#include <array>
#include <cctype>
#include <filesystem>
#include <system_error>

#include "cases/study.h"
#include "geometry/error.h"

namespace polepitch {
namespace {

namespace fs = std::filesystem;

/// "torque-angle_gap.csv", "torque-angle-2_003.vtu", "torque-angle.pvd".
bool belongs_to(const std::string& file, const std::string& study) {
  if (file.rfind(study, 0) != 0) return false;
  size_t i = study.size();
  if (i < file.size() && file[i] == '-') {
    ++i;
    while (i < file.size() && std::isdigit(static_cast<unsigned char>(file[i]))) ++i;
  }
  return i < file.size() && (file[i] == '_' || file[i] == '.');
}

bool is_result(const std::string& file) {
  constexpr std::array<const char*, 5> kEndings = {".csv", ".png", ".svg", ".vtu", ".pvd"};
  if (file == "summary.json" || file == "report.html" || file == "open_in_paraview.py") return true;
  const std::string ending = fs::path(file).extension().string();
  if (std::find(kEndings.begin(), kEndings.end(), ending) == kEndings.end()) return false;
  if (belongs_to(file, "description")) return true;
  for (const char* name : {"section", "stator_dimensions", "rotor_dimensions", "mesh"})
    if (file == name + ending) return true;
  if (file == "drawing-faults.png") return true;
  const auto& types = study_types();
  return std::any_of(types.begin(), types.end(), [&](const StudyType& t) { return belongs_to(file, t.name); });
}

/// What a run writes into circuit/.
bool is_circuit(const std::string& file) {
  constexpr std::array<const char*, 5> kBeginnings = {"machine_", "machine.", "flux_map", "inverse_map_",
                                                      "parameters.csv"};
  return file == "circuit.json" || std::any_of(kBeginnings.begin(), kBeginnings.end(),
                                               [&](const char* begin) { return file.rfind(begin, 0) == 0; });
}

}  // namespace

void remove_former_results(const std::string& directory) {
  const fs::path circuit = fs::path(directory) / "circuit";
  for (const fs::path& folder : {fs::path(directory), fs::path(directory) / "field", circuit}) {
    std::error_code fault;
    if (!fs::is_directory(folder, fault)) continue;
    std::vector<fs::path> former;
    for (const auto& entry : fs::directory_iterator(folder, fault))
      if (const std::string name = entry.path().filename().string();
          folder == circuit ? is_circuit(name) : is_result(name))
        former.push_back(entry.path());
    for (const fs::path& path : former)
      if (!fs::remove(path, fault) && fault)
        throw FileError("cannot remove the former result " + path.string() + ": " + fault.message(),
                        "choose another directory with -o");
  }
}

}  // namespace polepitch
