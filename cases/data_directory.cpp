#include "cases/data_directory.h"

#include <filesystem>

#include "geometry/error.h"

namespace polepitch {

std::string data_directory() {
  namespace fs = std::filesystem;
  std::error_code status;
  const fs::path executable = fs::read_symlink("/proc/self/exe", status);
  const fs::path beside = executable.parent_path().parent_path() / "share" / "polepitch";
  for (const fs::path& place : {beside, fs::path(POLEPITCH_SOURCE_DATA), fs::path(POLEPITCH_INSTALL_DATA)})
    if (fs::is_directory(place / "materials", status)) return place.string();
  throw FileError("the material library is missing",
                  "looked in " + beside.string() + ", " POLEPITCH_SOURCE_DATA " and " POLEPITCH_INSTALL_DATA);
}

}  // namespace polepitch
