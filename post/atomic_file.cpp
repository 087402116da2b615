#include "post/atomic_file.h"

#include <fcntl.h>
#include <fmt/format.h>
#include <unistd.h>

#include <atomic>
#include <cerrno>
#include <cstring>
#include <filesystem>

#include "geometry/error.h"

namespace polepitch {
namespace {

namespace fs = std::filesystem;

std::string hint_for(int error) {
  switch (error) {
    case ENOSPC:
    case EDQUOT:
      return "the disk is full: free some space or choose another directory with -o";
    case EFBIG:
      return "the limit on the size of a file (ulimit -f) is reached";
    case EACCES:
    case EPERM:
    case EROFS:
      return "choose a directory that you may write to with -o";
    case ENOTDIR:
      return "a part of the path is a file, not a directory";
    default:
      return "";
  }
}

[[noreturn]] void fail(const std::string& what, const std::string& path, int error) {
  throw FileError(fmt::format("cannot {} {}: {}", what, path, std::strerror(error)), hint_for(error));
}

/// Hidden, unique to process and call, same extension: some writers choose their format by it.
std::string temporary_name(const std::string& path) {
  static std::atomic<int> counter{0};
  const fs::path target(path);
  const std::string name = fmt::format(".{}.{}-{}.part{}", target.stem().string(), static_cast<long>(::getpid()),
                                       counter.fetch_add(1), target.extension().string());
  return (target.parent_path() / name).string();
}

/// Removes the temporary file unless it has been renamed.
class Temporary {
 public:
  explicit Temporary(const std::string& path) : name_(temporary_name(path)) {}
  ~Temporary() {
    if (!name_.empty()) ::unlink(name_.c_str());
  }
  Temporary(const Temporary&) = delete;
  Temporary& operator=(const Temporary&) = delete;
  const std::string& name() const { return name_; }
  void rename_to(const std::string& path) {
    if (::rename(name_.c_str(), path.c_str()) != 0) fail("write", path, errno);
    name_.clear();
  }

 private:
  std::string name_;
};

/// 0, or the error that stopped the writing.
int write_all(int descriptor, std::string_view content) {
  while (!content.empty()) {
    const ssize_t written = ::write(descriptor, content.data(), content.size());
    if (written < 0) {
      if (errno == EINTR) continue;
      return errno;
    }
    content.remove_prefix(static_cast<std::size_t>(written));
  }
  return 0;
}

/// Disk-full may be told only when the data reach the disk.
int sync_file(const std::string& path) {
  const int descriptor = ::open(path.c_str(), O_RDONLY | O_CLOEXEC);
  if (descriptor < 0) return errno;
  const int error = ::fdatasync(descriptor) == 0 ? 0 : errno;
  ::close(descriptor);
  return error == EINVAL || error == EROFS ? 0 : error;
}

}  // namespace

void make_directory(const std::string& path) {
  std::error_code status;
  fs::create_directories(path, status);
  if (status) fail("create the directory", path, status.value());
  if (!fs::is_directory(path, status))
    throw FileError(fmt::format("cannot create the directory {}: a file of this name is there", path),
                    "choose another directory with -o");
}

void write_file(const std::string& path, std::string_view content) {
  Temporary temporary(path);
  const int descriptor = ::open(temporary.name().c_str(), O_WRONLY | O_CREAT | O_EXCL | O_CLOEXEC, 0666);
  if (descriptor < 0) fail("write", path, errno);
  int error = write_all(descriptor, content);
  if (::close(descriptor) != 0 && error == 0) error = errno;
  if (error != 0) fail("write", path, error);
  temporary.rename_to(path);
}

void write_file_with(const std::string& path, const std::function<bool(const std::string&)>& write) {
  Temporary temporary(path);
  errno = 0;
  if (!write(temporary.name())) fail("write", path, errno != 0 ? errno : EIO);
  if (const int error = sync_file(temporary.name()); error != 0) fail("write", path, error);
  temporary.rename_to(path);
}

void write_descriptor(int descriptor, std::string_view content, const std::string& what) {
  if (const int error = write_all(descriptor, content); error != 0) fail("write to", what, error);
}

}  // namespace polepitch
