#include "cases/checkpoint.h"

#define XXH_INLINE_ALL
#include <fmt/format.h>
#include <xxhash.h>

#include <cstring>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <stdexcept>

#include "post/atomic_file.h"

namespace polepitch {
namespace {

std::string head_of(const std::string& fingerprint, std::size_t count) {
  return fmt::format("polepitch checkpoint 1\n{}\n{}\n", fingerprint, count);
}

}  // namespace

void Tape::put(const std::vector<double>& list) {
  put(static_cast<double>(list.size()));
  values_.insert(values_.end(), list.begin(), list.end());
}

double Tape::get() {
  if (at_ >= values_.size()) throw std::logic_error("a checkpoint is shorter than what is read of it");
  return values_[at_++];
}

std::vector<double> Tape::get_list() {
  const auto count = static_cast<std::size_t>(get());
  if (at_ + count > values_.size()) throw std::logic_error("a checkpoint is shorter than what is read of it");
  const auto begin = values_.begin() + static_cast<std::ptrdiff_t>(at_);
  at_ += count;
  return {begin, begin + static_cast<std::ptrdiff_t>(count)};
}

void write_checkpoint(const std::string& path, const std::string& fingerprint, const Tape& tape) {
  const std::vector<double>& values = tape.values();
  std::string content = head_of(fingerprint, values.size());
  const std::size_t start = content.size();
  content.resize(start + values.size() * sizeof(double));
  std::memcpy(content.data() + start, values.data(), values.size() * sizeof(double));
  write_file(path, content);
}

std::optional<Tape> read_checkpoint(const std::string& path, const std::string& fingerprint) {
  std::ifstream file(path, std::ios::binary);
  if (!file) return std::nullopt;
  std::string first, second, third;
  if (!std::getline(file, first) || !std::getline(file, second) || !std::getline(file, third)) return std::nullopt;
  const std::string rest{std::istreambuf_iterator<char>(file), {}};
  std::vector<double> values(rest.size() / sizeof(double));
  if (values.size() * sizeof(double) != rest.size()) return std::nullopt;
  if (first + "\n" + second + "\n" + third + "\n" != head_of(fingerprint, values.size())) return std::nullopt;
  std::memcpy(values.data(), rest.data(), rest.size());
  return Tape(std::move(values));
}

std::string fingerprint_of(const std::string& text, const std::vector<double>& numbers) {
  std::string all = text;
  all.append(reinterpret_cast<const char*>(numbers.data()), numbers.size() * sizeof(double));
  const XXH128_hash_t hash = XXH3_128bits(all.data(), all.size());
  return fmt::format("{:016x}{:016x}", hash.high64, hash.low64);
}

std::string checkpoint_folder(const std::string& directory) {
  return directory + "/checkpoint";
}

void remove_checkpoints(const std::string& directory) {
  std::error_code ignored;
  std::filesystem::remove_all(checkpoint_folder(directory), ignored);
}

}  // namespace polepitch
