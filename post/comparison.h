// Several runs side by side: what each found for the same quantity, and whether they differ by more than their errors.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "post/results.h"

namespace polepitch {

/// One run as its summary and curves tell it.
struct RunRecord {
  std::string label;  // short and its own among the runs
  std::string directory, case_name, program_version;
  Results results;  // quantities, curves with their values, flux-density tables, warnings
};

struct Difference {
  double absolute = 0;             // to the first run that has the quantity, in its unit
  std::optional<double> relative;  // this value over that one, less 1; none where that is 0
  enum class Verdict { clear, within, unknown } verdict = Verdict::unknown;
};

struct ComparedValue {
  double value = 0;
  std::optional<double> error;
  std::optional<Difference> difference;  // none of the first run that has it
};

struct ComparedRow {
  std::string study, name, at, unit, definition;
  bool key_result = false;
  bool same_point = true;                            // false: the runs gave it at different operating points
  std::vector<std::optional<ComparedValue>> values;  // one a run; none where a run has no such quantity
};

/// One quantity of one curve, a column a run over the union of their abscissas (not a number where a run has no point).
struct ComparedCurve {
  ResultCurve curve;
  bool rising = true;  // every run's abscissa rises strictly
};

struct Comparison {
  std::vector<std::string> labels;
  std::vector<ComparedRow> rows;          // in the order of the first run, then what others add
  std::vector<ComparedRow> flux_density;  // largest of each part
  std::vector<ComparedCurve> curves;      // with a run that has them; loci hold each run's own points
};

/// Quantities are matched by study, name and operating point; those of one study and name whose points differ, in their
/// order. Two values differ clearly when their difference exceeds twice the root of the sum of their errors' squares:
/// an error is met twofold in 95 of 100 cases (docs/quick-start.md).
Comparison compare_runs(const std::vector<RunRecord>& runs);

/// "clear", "within errors", "no error stated".
std::string verdict_words(Difference::Verdict verdict);

/// "+3.4 %", or the absolute difference where the first value is 0.
std::string difference_text(const Difference& difference);

}  // namespace polepitch
