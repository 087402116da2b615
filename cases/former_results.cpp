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
  if (file == "summary.json" || file == "report.html") return true;
  const std::string ending = fs::path(file).extension().string();
  if (std::find(kEndings.begin(), kEndings.end(), ending) == kEndings.end()) return false;
  if (belongs_to(file, "description") || file == "section" + ending || file == "mesh" + ending) return true;
  const auto& types = study_types();
  return std::any_of(types.begin(), types.end(), [&](const StudyType& t) { return belongs_to(file, t.name); });
}

}  // namespace

void remove_former_results(const std::string& directory) {
  for (const fs::path& folder : {fs::path(directory), fs::path(directory) / "field"}) {
    std::error_code fault;
    if (!fs::is_directory(folder, fault)) continue;
    std::vector<fs::path> former;
    for (const auto& entry : fs::directory_iterator(folder, fault))
      if (is_result(entry.path().filename().string())) former.push_back(entry.path());
    for (const fs::path& path : former)
      if (!fs::remove(path, fault) && fault)
        throw FileError("cannot remove the former result " + path.string() + ": " + fault.message(),
                        "choose another directory with -o");
  }
}

}  // namespace polepitch
