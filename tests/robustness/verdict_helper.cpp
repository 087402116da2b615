// Whether a random machine came out well: run as a user would, and what was said.
#include <fmt/format.h>

#include <chrono>
#include <nlohmann/json.hpp>
#include <regex>
#include <set>

#include "cases/case_tables.h"
#include "tests/cases/case_text_helper.h"
#include "tests/faults/process_helper.h"
#include "tests/robustness/random_machine_helper.h"

namespace polepitch {
namespace {

/// What is not a finite number in a summary, "" where nothing is.
std::string infinite_number(const std::string& summary) {
  const nlohmann::json all = nlohmann::json::parse(summary, nullptr, false);
  if (all.is_discarded()) return "standard output is no JSON";
  for (const auto& q : all.at("quantities"))
    if (!q.at("value").is_number()) return "no finite " + q.at("name").get<std::string>();
  return "";
}

}  // namespace

bool names_parameter(const std::string& text) {
  static const std::set<std::string> names = [] {
    std::set<std::string> all;
    for (const CaseTable& table : case_tables())
      for (const Parameter& p : table.parameters) all.insert(p.name);
    return all;
  }();
  static const std::regex words("[a-z][a-z0-9_]*(\\.[a-z][a-z0-9_]*)*");
  for (std::sregex_iterator i(text.begin(), text.end(), words), end; i != end; ++i) {
    const std::string word = i->str(), last = word.substr(word.rfind('.') + 1);
    const bool path = last.size() < word.size(), own = last.find('_') != std::string::npos;
    if ((path || own) && names.count(last) > 0) return true;
  }
  return false;
}

Verdict try_machine(const RandomMachine& machine) {
  const FreshDirectory directory;
  write_text(directory / "machine.toml", machine.text);
  ProcessOptions options;
  options.cpu_seconds = 120;
  const auto begin = std::chrono::steady_clock::now();
  const Outcome outcome =
      run_program({"run", directory / "machine.toml", "-o", directory / "out", "--json", "--jobs", "1"}, options);
  Verdict verdict{outcome.exit_code, outcome.err, "", 0};
  verdict.seconds = std::chrono::duration<double>(std::chrono::steady_clock::now() - begin).count();
  if (outcome.exit_code == 0)
    verdict.fault = infinite_number(outcome.out);
  else if (outcome.exit_code < 3 || outcome.exit_code > 5)
    verdict.fault = "neither solved nor refused";
  else if (!names_parameter(outcome.err))
    verdict.fault = "names no parameter";
  return verdict;
}

}  // namespace polepitch
