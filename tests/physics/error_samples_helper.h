// Is `error` honest? The studies of a case on a sequence of adapted meshes, each judged against a far finer one.
#pragma once

#include <map>
#include <string>
#include <vector>

#include "cases/case.h"

namespace polepitch::test {

using Samples = std::map<std::string, std::vector<double>>;  // |true error| over estimate, by quantity

/// Adds the samples of every quantity of the case's studies. Meshes are adapted to the states of its first study of
/// `adapted_to`, up to `most_triangles` a pole, the finest of which is the truth; those of a second sequence, up to
/// half as many, are sampled as well.
void sample_case(const Case& kase, const std::string& adapted_to, double most_triangles, Samples& samples);

/// The same on the coarse meshes of so many sequences (at most seven), up to two fifths of the one that is the truth.
/// Columns of curves that stand over the same abscissa count too, each point a sample, under "study.curve.column".
void sample_coarse(const Case& kase, const std::string& adapted_to, double most_triangles, size_t sequences,
                   Samples& samples);

/// The same on three meshes of each sequence, of `most_triangles` at most, against a truth that is kept in the file
/// tests/physics/truth/NAME.csv, since it takes minutes: the program's own converged values, of elements of third order
/// and 9,000 triangles a pole, a tenth of the samples' error or less. POLEPITCH_ERROR_TRUTH=write in the environment
/// makes the files anew (after a change of machines, studies or definitions) in place of taking samples.
void sample_stored(const Case& kase, const std::string& adapted_to, const std::string& name, double most_triangles,
                   const std::vector<double>& starts, Samples& samples);

/// Prints all and asserts of the watched ones what the project states to the user (docs/quick-start.md): at least
/// `least` samples, of 95 in 100 |true| ≤ 2 × estimate, the median ratio between 0.3 (not needlessly large) and 1.5
/// (not too small). Of the cautious ones the median may be smaller.
void judge(const Samples& samples, const std::vector<std::string>& watched,
           const std::vector<std::string>& cautious = {}, size_t least = 20);

}  // namespace polepitch::test
