// Runs a ready case through the program's own pipeline and looks numbers up in what it left behind.
#pragma once

#include <string>
#include <vector>

#include "cases/run_case.h"
#include "tests/cases/case_text_helper.h"

namespace polepitch {

/// Names of all files in cases/machines, sorted.
std::vector<std::string> ready_cases();

/// A ready case that was run into a directory of its own, at its own mesh.
class ReadyCase {
 public:
  /// `left_out`: types of studies that are not run, so that the two large demos stay quick to test.
  explicit ReadyCase(const std::string& name, const std::vector<std::string>& left_out = {});
  /// The first such quantity; a test failure and 0 when there is none.
  double value(const std::string& study, const std::string& quantity) const;
  /// A column of the study's curve named `curve`.
  std::vector<double> column(const std::string& study, const std::string& curve, const std::string& name) const;
  /// All studies gave results, every number is finite, summary, pictures and field files are there.
  void expect_whole() const;
  /// The table that docs/cases/NAME.md shows is what this run says, as far as its studies were run.
  void expect_lesson() const { expect_page("cases/" + report_.case_name + ".md", 5); }
  /// The same of another page in docs: its numbers in blocks of code, flux densities too, at least `least` of them.
  void expect_page(const std::string& page, int least) const;
  const RunReport& report() const { return report_; }

 private:
  FreshDirectory directory_;
  RunReport report_;
};

/// One number against paper, a line of docs/verification.md. `low`, `high` are the band as shares of the expected
/// value; `source` is its name in the test.
void expect_by_hand(double found, double expected, double low, double high, const std::string& source);

}  // namespace polepitch
