// random_machines FIRST COUNT DIRECTORY: runs so many random machines from number FIRST on, prints how they came out by
// rotor and by slot, and writes each that is at fault, with what was told, into DIRECTORY.
#include <fmt/format.h>

#include <cstdio>
#include <filesystem>
#include <map>

#include "tests/cases/case_text_helper.h"
#include "tests/robustness/random_machine_helper.h"

namespace polepitch {
namespace {

struct Tally {
  std::map<int, int> codes;
  int all = 0, faults = 0;
  void add(const Verdict& verdict) {
    ++all;
    ++codes[verdict.exit_code];
    faults += verdict.fault.empty() ? 0 : 1;
  }
};

void print(const std::string& title, const std::map<std::string, Tally>& tallies) {
  fmt::print(
      "\n| {} | machines | solved (0) | input (3) | geometry or mesh (4) | not converged (5) | other | at fault |\n"
      "|---|---|---|---|---|---|---|---|\n",
      title);
  for (const auto& [name, t] : tallies) {
    const auto count = [&codes = t.codes](int code) { return codes.count(code) > 0 ? codes.at(code) : 0; };
    fmt::print("| {} | {} | {} | {} | {} | {} | {} | {} |\n", name, t.all, count(0), count(3), count(4), count(5),
               t.all - count(0) - count(3) - count(4) - count(5), t.faults);
  }
}

int run(std::uint64_t first, std::uint64_t count, const std::string& directory) {
  std::filesystem::create_directories(directory);
  std::map<std::string, Tally> rotors, slots, rotor_slots;
  double longest = 0;
  for (std::uint64_t number = first; number < first + count; ++number) {
    const RandomMachine machine = random_machine(number);
    const Verdict verdict = try_machine(machine);
    longest = std::max(longest, verdict.seconds);
    for (const std::string& name : {machine.rotor, std::string("all")}) rotors[name].add(verdict);
    slots[machine.slot.empty() ? "no slot" : machine.slot].add(verdict);
    if (!machine.rotor_slot.empty()) rotor_slots[machine.rotor_slot].add(verdict);
    fmt::print(stderr, "{} {} {:.1f} s {} {}\n", number, verdict.exit_code, verdict.seconds, machine.rotor,
               verdict.fault);
    if (verdict.fault.empty()) continue;
    const std::string name = fmt::format("{}/{}-{}", directory, number, verdict.exit_code);
    write_text(name + ".toml", machine.text);
    write_text(name + ".txt", verdict.fault + "\n" + verdict.told);
  }
  print("rotor", rotors);
  print("stator slot", slots);
  print("rotor slot", rotor_slots);
  fmt::print("\nlongest run: {:.1f} s\n", longest);
  return rotors["all"].faults == 0 ? 0 : 1;
}

}  // namespace
}  // namespace polepitch

int main(int argc, char** argv) {
  if (argc != 4) {
    std::fputs("usage: random_machines FIRST COUNT DIRECTORY\n", stderr);
    return 2;
  }
  return polepitch::run(std::stoull(argv[1]), std::stoull(argv[2]), argv[3]);
}
