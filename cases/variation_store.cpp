#include "cases/variation_store.h"

#include <fcntl.h>
#include <fmt/format.h>
#include <fmt/ranges.h>
#include <signal.h>
#include <sqlite3.h>
#include <unistd.h>

#include <chrono>
#include <filesystem>
#include <fstream>
#include <sstream>
#include <thread>

#include "cases/command_line.h"
#include "geometry/error.h"

namespace polepitch {
namespace {

constexpr int kApplication = 0x706f6c65, kSchema = 1;  // "pole"

constexpr const char* kTables = R"(
CREATE TABLE IF NOT EXISTS meta(name TEXT PRIMARY KEY, value TEXT NOT NULL);
CREATE TABLE IF NOT EXISTS point(key TEXT PRIMARY KEY, exit_code INTEGER NOT NULL, reason TEXT NOT NULL,
  parameters TEXT NOT NULL, quantities TEXT NOT NULL, seconds REAL NOT NULL,
  finished TEXT NOT NULL DEFAULT (strftime('%Y-%m-%dT%H:%M:%SZ')));
CREATE TABLE IF NOT EXISTS plan(id TEXT PRIMARY KEY, case_name TEXT NOT NULL);
CREATE TABLE IF NOT EXISTS plan_point(plan TEXT NOT NULL, number INTEGER NOT NULL, key TEXT NOT NULL,
  PRIMARY KEY(plan, number));
CREATE TABLE IF NOT EXISTS claim(key TEXT PRIMARY KEY, process TEXT NOT NULL);
)";

[[noreturn]] void fail(sqlite3* db, const std::string& path, const std::string& what) {
  const int code = db == nullptr ? SQLITE_NOMEM : sqlite3_errcode(db) & 0xff;
  std::string hint;
  if (code == SQLITE_FULL || code == SQLITE_IOERR)
    hint = "the disk may be full, or the limit on the size of a file reached; finished points are kept";
  else if (code == SQLITE_READONLY || code == SQLITE_CANTOPEN || code == SQLITE_PERM)
    hint = "the store must be in a directory that you may write to; choose one with -o";
  else if (code == SQLITE_NOTADB || code == SQLITE_CORRUPT)
    hint = "the file is no store of a sweep; choose another directory with -o";
  else if (code == SQLITE_BUSY)
    hint = "another process is at work on this store";
  throw FileError(
      fmt::format("cannot {} the store {}: {}", what, path, db == nullptr ? "no memory" : sqlite3_errmsg(db)), hint);
}

const std::string kQuantitiesOf = "quantities of ";  // a plan's id follows; one a line

std::vector<std::string> lines_of(const std::vector<std::vector<std::string>>& rows) {
  std::vector<std::string> lines;
  std::istringstream text(rows.empty() ? "" : rows[0][0]);
  for (std::string line; std::getline(text, line);) lines.push_back(line);
  return lines;
}

/// Host, process and when it started: a number that was given again to another process is told from the first.
std::string process_name(const std::string& pid) {
  std::ifstream stat("/proc/" + pid + "/stat");
  std::string text;
  std::getline(stat, text);
  std::istringstream fields(text.substr(std::min(text.size(), text.rfind(')') + 1)));
  std::string field, state;
  for (int i = 0; i < 20 && fields >> field; ++i)
    if (i == 0) state = field;
  char host[256] = "";
  ::gethostname(host, sizeof host - 1);
  return state.empty() || state == "Z" ? "" : fmt::format("{} {} {}", pid, field, host);
}

bool lives(const std::string& process) {
  return !process.empty() && process_name(process.substr(0, process.find(' '))) == process;
}

}  // namespace

struct VariationStore::Handle {
  sqlite3* db = nullptr;
  std::string path;
  ~Handle() { sqlite3_close(db); }

  void run(const std::string& sql) {
    if (sqlite3_exec(db, sql.c_str(), nullptr, nullptr, nullptr) != SQLITE_OK) fail(db, path, "write");
  }

  /// The journal becomes a log only while nobody else reads; where two processes ask for that together SQLite tells
  /// both at once that the file is locked, without waiting.
  void use_log(std::chrono::milliseconds patience) {
    const auto end = std::chrono::steady_clock::now() + patience;
    while (sqlite3_exec(db, "PRAGMA journal_mode = WAL", nullptr, nullptr, nullptr) != SQLITE_OK) {
      if ((sqlite3_errcode(db) & 0xff) != SQLITE_BUSY || std::chrono::steady_clock::now() > end)
        fail(db, path, "write");
      std::this_thread::sleep_for(std::chrono::milliseconds(5));
    }
  }

  /// Each row's columns as texts.
  std::vector<std::vector<std::string>> query(const std::string& sql, const std::vector<std::string>& values = {}) {
    sqlite3_stmt* raw = nullptr;
    if (sqlite3_prepare_v2(db, sql.c_str(), -1, &raw, nullptr) != SQLITE_OK) fail(db, path, "read");
    const std::unique_ptr<sqlite3_stmt, int (*)(sqlite3_stmt*)> statement(raw, sqlite3_finalize);
    for (std::size_t i = 0; i < values.size(); ++i)
      sqlite3_bind_text(raw, static_cast<int>(i) + 1, values[i].data(), static_cast<int>(values[i].size()),
                        SQLITE_TRANSIENT);
    std::vector<std::vector<std::string>> rows;
    int code = SQLITE_ROW;
    while ((code = sqlite3_step(raw)) == SQLITE_ROW) {
      std::vector<std::string> row;
      for (int c = 0; c < sqlite3_column_count(raw); ++c) {
        const auto* text = reinterpret_cast<const char*>(sqlite3_column_text(raw, c));
        row.emplace_back(text == nullptr ? "" : text);
      }
      rows.push_back(std::move(row));
    }
    if (code != SQLITE_DONE) fail(db, path, "write");
    return rows;
  }

  std::optional<PointRow> find(const std::string& key) {
    const auto rows =
        query("SELECT exit_code, reason, parameters, quantities, seconds FROM point WHERE key = ?", {key});
    if (rows.empty()) return std::nullopt;
    const auto& r = rows.front();
    return PointRow{key, std::stoi(r[0]), r[1], r[2], r[3], std::stod(r[4])};
  }
};

StoreContent read_store(const std::string& path) {
  if (!std::filesystem::exists(path)) throw FileError("cannot read " + path + ": no such file");
  VariationStore::Handle h;
  h.path = path;
  if (sqlite3_open_v2(path.c_str(), &h.db, SQLITE_OPEN_READONLY, nullptr) != SQLITE_OK) fail(h.db, path, "read");
  sqlite3_busy_timeout(h.db, 60000);
  if (h.query("PRAGMA application_id")[0][0] != std::to_string(kApplication) ||
      h.query("PRAGMA user_version")[0][0] != std::to_string(kSchema))
    throw FileError(path + " is no store of a sweep, or one of another version of its tables");
  StoreContent content;
  content.program_version = h.query("SELECT value FROM meta WHERE name = 'program_version'")[0][0];
  const auto plan = h.query("SELECT id, case_name FROM plan ORDER BY rowid DESC LIMIT 1");
  if (plan.empty()) return content;
  content.case_name = plan[0][1];
  content.quantities = lines_of(h.query("SELECT value FROM meta WHERE name = ?", {kQuantitiesOf + plan[0][0]}));
  for (const auto& point : h.query("SELECT key FROM plan_point WHERE plan = ? ORDER BY number", {plan[0][0]}))
    content.points.push_back(h.find(point[0]));
  return content;
}

VariationStore::VariationStore(const std::string& path, bool alone) : handle_(std::make_unique<Handle>()) {
  Handle& h = *handle_;
  h.path = path;
  const int flags = SQLITE_OPEN_READWRITE | SQLITE_OPEN_CREATE;
  if (sqlite3_open_v2(path.c_str(), &h.db, flags, nullptr) != SQLITE_OK) fail(h.db, path, "open");
  const std::chrono::milliseconds patience(alone ? 2000 : 60000);
  sqlite3_busy_timeout(h.db, static_cast<int>(patience.count()));
  if (sqlite3_db_readonly(h.db, "main") == 1)
    throw FileError(fmt::format("cannot write the store {}: it may only be read", path),
                    "give yourself the right to write it, or choose another directory with -o");
  if (alone) h.run("PRAGMA locking_mode = EXCLUSIVE");
  // In one transaction: another process may be making the tables.
  h.run("BEGIN");
  const std::string application = h.query("PRAGMA application_id")[0][0];
  const bool fresh = h.query("SELECT count(*) FROM sqlite_master")[0][0] == "0";
  const bool known =
      application == std::to_string(kApplication) && h.query("PRAGMA user_version")[0][0] == std::to_string(kSchema);
  h.run("COMMIT");
  if (!fresh && !known)
    throw FileError(path + " is no store of a sweep, or one of another version of its tables",
                    "choose another directory with -o");
  h.use_log(patience);
  h.run("PRAGMA synchronous = NORMAL");
  h.run(fmt::format("BEGIN IMMEDIATE; PRAGMA application_id = {}; PRAGMA user_version = {}; {}", kApplication, kSchema,
                    kTables));
  h.query("INSERT OR IGNORE INTO meta VALUES ('program_version', ?)", {program_version()});
  const std::string version = h.query("SELECT value FROM meta WHERE name = 'program_version'")[0][0];
  h.run("COMMIT");
  if (version != program_version())
    throw FileError(
        fmt::format("the store {} was written by polepitch {}, this is {}", path, version, program_version()),
        "results of two versions do not belong together: choose another directory with -o");
}

VariationStore::~VariationStore() = default;

std::optional<PointRow> VariationStore::find(const std::string& key) const {
  return handle_->find(key);
}

void VariationStore::put(const PointRow& row) {
  handle_->run("BEGIN IMMEDIATE");
  try {
    handle_->query(
        "INSERT OR REPLACE INTO point(key, exit_code, reason, parameters, quantities, seconds) "
        "VALUES (?, CAST(? AS INTEGER), ?, ?, ?, CAST(? AS REAL))",
        {row.key, std::to_string(row.exit_code), row.reason, row.parameters, row.quantities,
         fmt::format("{}", row.seconds)});
    handle_->query("DELETE FROM claim WHERE key = ?", {row.key});
    handle_->run("COMMIT");
  } catch (const FileError&) {
    sqlite3_exec(handle_->db, "ROLLBACK", nullptr, nullptr, nullptr);
    throw;
  }
}

void VariationStore::remember(const StoredPlan& plan) {
  handle_->run("BEGIN IMMEDIATE");
  if (handle_->query("SELECT 1 FROM plan WHERE id = ?", {plan.id}).empty()) {
    handle_->query("INSERT INTO plan VALUES (?, ?)", {plan.id, plan.case_name});
    for (std::size_t i = 0; i < plan.keys.size(); ++i)
      handle_->query("INSERT INTO plan_point VALUES (?, CAST(? AS INTEGER), ?)",
                     {plan.id, std::to_string(i + 1), plan.keys[i]});
  }
  handle_->query("INSERT OR REPLACE INTO meta VALUES (?, ?)",
                 {kQuantitiesOf + plan.id, fmt::format("{}", fmt::join(plan.quantities, "\n"))});
  handle_->run("COMMIT");
}

std::vector<StoredPlan> VariationStore::plans() const {
  std::vector<StoredPlan> plans;
  for (const auto& row : handle_->query("SELECT id, case_name FROM plan ORDER BY rowid")) {
    StoredPlan plan{row[0], row[1], {}};
    for (const auto& point : handle_->query("SELECT key FROM plan_point WHERE plan = ? ORDER BY number", {row[0]}))
      plan.keys.push_back(point[0]);
    plan.quantities = lines_of(handle_->query("SELECT value FROM meta WHERE name = ?", {kQuantitiesOf + row[0]}));
    plans.push_back(std::move(plan));
  }
  return plans;
}

bool VariationStore::claim(const std::string& key) {
  const std::string own = process_name(std::to_string(::getpid()));
  handle_->run("BEGIN IMMEDIATE");
  const auto holder = handle_->query("SELECT process FROM claim WHERE key = ?", {key});
  const bool taken = !holder.empty() && holder[0][0] != own && lives(holder[0][0]);
  if (!taken) handle_->query("INSERT OR REPLACE INTO claim VALUES (?, ?)", {key, own});
  handle_->run("COMMIT");
  return !taken;
}

void VariationStore::give_back(const std::string& key) {
  handle_->query("DELETE FROM claim WHERE key = ?", {key});
}

void VariationStore::add_store(const std::string& path, MergeReport& report) {
  if (!std::filesystem::exists(path)) throw FileError("cannot read " + path + ": no such file");
  const VariationStore other(path);  // checks what it is, and takes in what a killed process left in its log
  handle_->run("BEGIN IMMEDIATE");
  for (const auto& row : other.handle_->query("SELECT key FROM point")) {
    const PointRow theirs = *other.find(row[0]);
    const std::optional<PointRow> ours = find(row[0]);
    report.duplicates += ours ? 1 : 0;
    if (ours && (ours->exit_code != theirs.exit_code || ours->quantities != theirs.quantities))
      report.differing.push_back(row[0]);
    if (!ours)
      handle_->query(
          "INSERT INTO point(key, exit_code, reason, parameters, quantities, seconds) "
          "VALUES (?, CAST(? AS INTEGER), ?, ?, ?, CAST(? AS REAL))",
          {theirs.key, std::to_string(theirs.exit_code), theirs.reason, theirs.parameters, theirs.quantities,
           fmt::format("{}", theirs.seconds)});
  }
  handle_->run("COMMIT");
  for (const StoredPlan& plan : other.plans()) remember(plan);
}

}  // namespace polepitch
