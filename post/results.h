// What a run leaves behind, before it is written: quantities, curves, flux-density table, fields to write, warnings.
#pragma once

#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "post/construction.h"
#include "post/contour_map.h"
#include "post/flux_map.h"
#include "post/phasor_diagram.h"

namespace polepitch {

struct Quantity {
  std::string study;  // "reactances", with the study's number when a case lists several of a type
  std::string name;   // snake_case: "torque_mean", "X_d_apparent"
  std::vector<std::pair<std::string, std::string>> at;  // operating point: {"i_d", "-3 A"}, {"rotor_angle", "12 deg"}
  int positions = 1;                                    // rotor positions in the mean
  std::optional<double> ripple;                         // peak to peak over the positions, in `unit`
  std::string method;                                   // "annulus harmonics", "frozen reluctivity", "closed form"
  double value = 0;                                     // in `unit`
  std::string unit;
  std::optional<double> error;       // in `unit`; none where there is no discretisation
  std::string definition;            // one sentence
  bool exact = false;                // given or closed form: no discretisation, no error
  bool key_result = false;           // stands in the ten-second summary
  std::vector<double> samples = {};  // the values behind a mean, for its error; not written
  // Values that it was chosen from or is made of, whose differences between meshes tell its error as well: a single
  // difference can be small by luck. Not written.
  std::vector<double> candidates = {};
};

/// A number as tables show it, with five digits; what lies below the last of them is left out: an error or a ripple
/// too small to be seen there is "", a value under its own error keeps the digits that the error leaves.
struct ShownNumber {
  std::string value, error, ripple;  // "94.506", "± 0.07", "0.0056"
};
ShownNumber shown_number(const Quantity& quantity);

struct Column {
  std::string name;  // "rotor_angle"
  std::string unit;  // "deg"; "" for pure numbers
  std::vector<double> values;
  bool drawn = true;                 // false: in the CSV only
  std::optional<double> error = {};  // in `unit`, of every value: root of the mean square over the column
};

struct ResultCurve {
  std::string study, name;      // file name is study_name.csv
  std::string title;            // sentence for the picture
  std::vector<Column> columns;  // the first is the abscissa; all of one length
  bool spectrum = false;        // drawn as bars over the order
  double drawn_to = 0;          // abscissa at which the picture ends; 0: everything is drawn
};

/// Flux density of one part against its design limit.
struct FluxDensityRow {
  std::string part;             // "stator tooth"
  double largest = 0;           // T, largest along the part over all teeth and angles
  double at_third = 0;          // T, at a third of the height from the narrow end (0 where it has no meaning)
  double percentile99 = 0;      // T, 99th percentile by area of |B| in the part
  std::optional<double> limit;  // T
  std::string worst_name;       // "stator tooth 3"
  double worst_angle = 0;       // rad, mechanical rotor angle
  std::optional<double> error;  // T, of `largest`
  std::vector<double> each = {}, each_third = {};  // T, of every such part over all angles; not written
};

struct FluxDensityTable {
  std::string study;
  std::vector<FluxDensityRow> rows;
};

struct Results {
  std::vector<Quantity> quantities;
  std::vector<ResultCurve> curves;
  std::vector<FluxDensityTable> flux_tables;
  std::vector<Construction> constructions;
  std::vector<PhasorDiagram> phasor_diagrams;
  std::vector<FluxMapResult> flux_maps;
  std::vector<ContourMap> contour_maps;
  std::vector<std::string> warnings;
};

/// "± 0.09", "± 300": one digit, in powers of ten only where the zeros would be too many.
std::string error_text(double error);

}  // namespace polepitch
