// The store of a sweep: one SQLite file, a row a point, written whole as points finish. The one user of SQLite.
#pragma once

#include <map>
#include <memory>
#include <optional>
#include <string>
#include <vector>

namespace polepitch {

/// What one point gave. The JSON texts hold every number so that it reads back bit for bit.
struct PointRow {
  std::string key;
  int exit_code = 0;
  std::string reason;      // of a failure, in the user's words
  std::string parameters;  // JSON object: dotted path → value
  std::string quantities;  // JSON object: "study.name" → {value, unit, error, at}
  double seconds = 0;
};

/// A sweep as a store knows it: the points that belong to it, in order.
struct StoredPlan {
  std::string id, case_name;
  std::vector<std::string> keys;
  std::vector<std::string> quantities = {};  // that the sweep draws and lists; empty: the key results
};

/// What merging found.
struct MergeReport {
  std::size_t rows = 0, duplicates = 0, failed = 0;
  std::vector<std::string> differing;          // keys whose rows are not the same in all inputs
  std::map<std::string, std::size_t> missing;  // case → points of its plans that no input has
  std::vector<std::size_t> gaps;               // numbers from 1 of the first plan with gaps, twenty at most
};

/// All of a store's last plan as it is now, of any program version; the file is not changed.
struct StoreContent {
  std::string program_version, case_name;
  std::vector<std::string> quantities;          // as StoredPlan has them
  std::vector<std::optional<PointRow>> points;  // in the plan's order; none where a point is not solved yet
};
/// Throws FileError where the file cannot be read or is no store.
StoreContent read_store(const std::string& path);

class VariationStore {
 public:
  /// Opens or creates. `alone`: no other process may use it meanwhile, which also makes it safe on a network's file
  /// system. Throws FileError: not to be written, no store, of another program version.
  explicit VariationStore(const std::string& path, bool alone = false);
  ~VariationStore();
  VariationStore(const VariationStore&) = delete;
  VariationStore& operator=(const VariationStore&) = delete;

  std::optional<PointRow> find(const std::string& key) const;
  /// One transaction; replaces the row of this key. Throws FileError where the disk is full.
  void put(const PointRow& row);
  void remember(const StoredPlan& plan);
  std::vector<StoredPlan> plans() const;

  /// Takes the point for this process unless a living one on this machine has it.
  bool claim(const std::string& key);
  void give_back(const std::string& key);

  /// Takes over the rows and plans of another store of the same version.
  void add_store(const std::string& path, MergeReport& report);

 private:
  struct Handle;
  friend StoreContent read_store(const std::string& path);
  std::unique_ptr<Handle> handle_;
};

}  // namespace polepitch
