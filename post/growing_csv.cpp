#include "post/growing_csv.h"

#include <fcntl.h>
#include <fmt/format.h>
#include <sys/stat.h>
#include <unistd.h>

#include <cerrno>
#include <cstring>

#include "geometry/error.h"
#include "post/csv_file.h"

namespace polepitch {

GrowingCsv::GrowingCsv(const ResultCurve& curve, const std::string& directory)
    : path_(write_csv(curve, directory).string()), descriptor_(::open(path_.c_str(), O_WRONLY | O_APPEND | O_CLOEXEC)) {
  if (descriptor_ < 0) throw FileError(fmt::format("cannot write {}: {}", path_, std::strerror(errno)));
}

GrowingCsv::~GrowingCsv() {
  if (descriptor_ >= 0) ::close(descriptor_);
}

void GrowingCsv::append(const std::vector<std::vector<double>>& rows) {
  const std::string text = csv_rows(rows);
  struct stat before = {};
  const bool known = ::fstat(descriptor_, &before) == 0;
  std::size_t done = 0;
  while (done < text.size()) {
    const ssize_t written = ::write(descriptor_, text.data() + done, text.size() - done);
    if (written < 0 && errno == EINTR) continue;
    if (written <= 0) {
      const int error = errno;
      if (known && ::ftruncate(descriptor_, before.st_size) != 0) ::unlink(path_.c_str());
      throw FileError(fmt::format("cannot write {}: {}", path_, std::strerror(error)),
                      error == ENOSPC ? "the disk is full: free some space or choose another directory with -o" : "");
    }
    done += static_cast<std::size_t>(written);
  }
}

}  // namespace polepitch
