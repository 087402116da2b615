// What a long run needs to go on where it was stopped, as plain numbers in one file that appears whole or not at all.
// Doubles are kept bit for bit.
#pragma once

#include <optional>
#include <string>
#include <vector>

namespace polepitch {

/// Numbers in the order in which they are put and got.
class Tape {
 public:
  void put(double value) { values_.push_back(value); }
  void put(const std::vector<double>& list);
  double get();
  std::vector<double> get_list();
  const std::vector<double>& values() const { return values_; }
  explicit Tape(std::vector<double> values = {}) : values_(std::move(values)) {}

 private:
  std::vector<double> values_;
  std::size_t at_ = 0;
};

/// Throws FileError.
void write_checkpoint(const std::string& path, const std::string& fingerprint, const Tape& tape);

/// None where there is no such file, or one of another run (fingerprint) or cut short.
std::optional<Tape> read_checkpoint(const std::string& path, const std::string& fingerprint);

/// 32 hexadecimal digits of the text and the numbers.
std::string fingerprint_of(const std::string& text, const std::vector<double>& numbers);

/// The folder of a run's checkpoints below its directory, and its removal once the run is complete.
std::string checkpoint_folder(const std::string& directory);
void remove_checkpoints(const std::string& directory);

}  // namespace polepitch
