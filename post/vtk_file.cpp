#include "post/vtk_file.h"

#include <fmt/format.h>
#include <vtkCellArray.h>
#include <vtkCellData.h>
#include <vtkCellType.h>
#include <vtkDoubleArray.h>
#include <vtkFieldData.h>
#include <vtkFloatArray.h>
#include <vtkInformation.h>
#include <vtkInformationStringKey.h>
#include <vtkIntArray.h>
#include <vtkNew.h>
#include <vtkPointData.h>
#include <vtkPoints.h>
#include <vtkStringArray.h>
#include <vtkUnsignedCharArray.h>
#include <vtkUnstructuredGrid.h>
#include <vtkXMLUnstructuredGridWriter.h>

#include <algorithm>
#include <cmath>

#include "geometry/error.h"
#include "post/atomic_file.h"
#include "post/element_field.h"
#include "post/figure_disc.h"
#include "post/gap_samples.h"
#include "post/text_lines.h"

namespace polepitch {
namespace {

constexpr int annulus_layers = 2;

struct Sample {  // at one point of one cell, in the frame of its side
  Point at;
  double a = 0, bx = 0, by = 0, hx = 0, hy = 0, j = 0, mu_r = 1;
};

struct Turn {
  double cosine, sine;
  explicit Turn(double angle) : cosine(std::cos(angle)), sine(std::sin(angle)) {}
  Point operator()(double x, double y) const { return {cosine * x - sine * y, sine * x + cosine * y}; }
};

class GridBuilder {
 public:
  explicit GridBuilder(vtkIdType points, vtkIdType cells) {
    points_->SetDataTypeToFloat();
    points_->Allocate(points);
    add_array(a_, "A_z", 1, "Wb/m", points);
    add_array(b_, "B", 3, "T", points);
    add_array(h_, "H", 3, "A/m", points);
    add_array(j_, "J_z", 1, "A/m2", points);
    add_array(mu_, "mu_r", 1, "1", points);
    region_->SetName("region");
    region_->Allocate(cells);
    types_->Allocate(cells);
  }

  void point(const Sample& s, const Turn& turn, int sign) {
    const Point p = turn(s.at.x, s.at.y), b = turn(s.bx, s.by), h = turn(s.hx, s.hy);
    points_->InsertNextPoint(p.x, p.y, 0);
    a_->InsertNextValue(static_cast<float>(sign * s.a));
    b_->InsertNextTuple3(sign * b.x, sign * b.y, 0);
    h_->InsertNextTuple3(sign * h.x, sign * h.y, 0);
    j_->InsertNextValue(static_cast<float>(sign * s.j));
    mu_->InsertNextValue(static_cast<float>(s.mu_r));
  }

  /// The last `count` points make a cell.
  void cell(int count, int type, int region) {
    const vtkIdType first = points_->GetNumberOfPoints() - count;
    cells_->InsertNextCell(count);
    for (int i = 0; i < count; ++i) cells_->InsertCellPoint(first + i);
    types_->InsertNextValue(static_cast<unsigned char>(type));
    region_->InsertNextValue(region);
  }

  void finish(vtkUnstructuredGrid* grid) {
    grid->SetPoints(points_);
    grid->SetCells(types_, cells_);
    for (vtkFloatArray* array : {a_.Get(), b_.Get(), h_.Get(), j_.Get(), mu_.Get()})
      grid->GetPointData()->AddArray(array);
    grid->GetCellData()->AddArray(region_);
  }

 private:
  static void add_array(vtkFloatArray* array, const char* name, int components, const char* unit, vtkIdType points) {
    array->SetName(name);
    array->SetNumberOfComponents(components);
    array->GetInformation()->Set(vtkDataArray::UNITS_LABEL(), unit);
    array->Allocate(points * components);
  }

  vtkNew<vtkPoints> points_;
  vtkNew<vtkFloatArray> a_, b_, h_, j_, mu_;
  vtkNew<vtkIntArray> region_;
  vtkNew<vtkUnsignedCharArray> types_;
  vtkNew<vtkCellArray> cells_;
};

constexpr double corner_l1[] = {0, 1, 0, 0.5, 0.5, 0}, corner_l2[] = {0, 0, 1, 0, 0.5, 0.5};

// Samples of every element of the sector, `corners` each; copies of the sector only turn and change sign.
std::vector<Sample> sample_sector(const StaticField& field, const Excitation& excitation,
                                  const StaticSolution& solution, std::size_t corners) {
  const Mesh& mesh = field.mesh();
  std::vector<double> density;
  for (std::size_t r = 0; r < field.section().regions.size(); ++r)
    density.push_back(field.current_density(excitation, static_cast<int>(r)));
  std::vector<Sample> samples;
  samples.reserve(mesh.triangles.size() * corners);
  for (std::size_t t = 0; t < mesh.triangles.size(); ++t) {
    const int triangle = static_cast<int>(t), region = mesh.region[t];
    const ElementField b = element_flux_density(mesh, solution.a, triangle);
    for (std::size_t i = 0; i < corners; ++i) {
      const auto node = static_cast<std::size_t>(mesh.triangles[t][i]);
      const auto h = field.field_strength(solution, triangle, corner_l1[i], corner_l2[i]);
      double nu = 0, slope = 0;
      field.curve(region).reluctivity(b.x[i] * b.x[i] + b.y[i] * b.y[i], nu, slope);
      samples.push_back({mesh.nodes[node], solution.a[node], b.x[i], b.y[i], h.x, h.y,
                         density[static_cast<std::size_t>(region)], 1 / (mu0 * nu)});
    }
  }
  return samples;
}

void add_sectors(GridBuilder& grid, const StaticField& field, const Excitation& excitation,
                 const StaticSolution& solution, std::size_t corners) {
  const Mesh& mesh = field.mesh();
  const std::vector<Sample> samples = sample_sector(field, excitation, solution, corners);
  const int type = mesh.order == 1 ? VTK_TRIANGLE : VTK_QUADRATIC_TRIANGLE;
  for (int k = 0; k < mesh.sectors; ++k) {
    const double angle = 2 * pi * k / mesh.sectors;
    const Turn turns[] = {Turn(angle), Turn(angle + solution.rotor_angle)};
    const int sign = k % 2 != 0 ? mesh.sign : 1;
    for (std::size_t t = 0; t < mesh.triangles.size(); ++t) {
      const Turn& turn = turns[static_cast<int>(t) < mesh.stator_triangles ? 0 : 1];
      for (std::size_t i = 0; i < corners; ++i) grid.point(samples[t * corners + i], turn, sign);
      grid.cell(static_cast<int>(corners), type, mesh.region[t]);
    }
  }
}

Sample annulus_sample(const CircleSamples& circle, std::size_t k) {
  k %= circle.a.size();
  const double angle = 2 * pi * static_cast<double>(k) / static_cast<double>(circle.a.size());
  const Turn turn(angle);
  const Point at = turn(circle.radius, 0), b = turn(circle.b_radial[k], circle.b_tangential[k]);
  return {at, circle.a[k], b.x, b.y, b.x / mu0, b.y / mu0, 0, 1};
}

// Quadrilaterals with mid-side nodes on the circles: corners counter-clockwise, then the middles of their sides.
void add_annulus(GridBuilder& grid, const GapField& gap, std::size_t cells, int region) {
  std::vector<CircleSamples> circles;
  for (int c = 0; c <= 2 * annulus_layers; ++c)
    circles.push_back(
        sample_circle(gap, gap.inner_radius() + (gap.outer_radius() - gap.inner_radius()) * c / (2.0 * annulus_layers),
                      static_cast<int>(2 * cells)));
  const Turn still(0);
  for (std::size_t c = 0; c + 2 < circles.size(); c += 2)
    for (std::size_t k = 0; k < 2 * cells; k += 2) {
      const std::pair<std::size_t, std::size_t> places[] = {{c, k},     {c + 2, k},     {c + 2, k + 2}, {c, k + 2},
                                                            {c + 1, k}, {c + 2, k + 1}, {c + 1, k + 2}, {c, k + 1}};
      for (const auto& [circle, at] : places) grid.point(annulus_sample(circles[circle], at), still, 1);
      grid.cell(8, VTK_QUADRATIC_QUAD, region);
    }
}

void add_number(vtkFieldData* data, const char* name, double value, const char* unit) {
  vtkNew<vtkDoubleArray> array;
  array->SetName(name);
  array->GetInformation()->Set(vtkDataArray::UNITS_LABEL(), unit);
  array->InsertNextValue(value);
  data->AddArray(array);
}

void add_field_data(vtkFieldData* data, const Section& section, double frame, double rotor_angle) {
  vtkNew<vtkStringArray> names;
  names->SetName("region_names");
  for (const Region& region : section.regions) names->InsertNextValue(region.name);
  names->InsertNextValue("annulus");
  data->AddArray(names);
  add_number(data, "TimeValue", frame, "1");
  add_number(data, "rotor_angle_deg", rotor_angle * 180 / pi, "deg");
}

}  // namespace

std::string vtu_text(const StaticField& field, const Excitation& excitation, const StaticSolution& solution,
                     double frame) {
  const Mesh& mesh = field.mesh();
  const std::size_t corners = mesh.order == 1 ? 3 : 6;
  const auto around = static_cast<std::size_t>(annulus_points(mesh)) / 2;
  const auto triangles = static_cast<vtkIdType>(mesh.triangles.size()) * mesh.sectors;
  const auto quads = static_cast<vtkIdType>(around) * annulus_layers;
  GridBuilder builder(triangles * static_cast<vtkIdType>(corners) + 8 * quads, triangles + quads);
  add_sectors(builder, field, excitation, solution, corners);
  add_annulus(builder, solution.gap, around, static_cast<int>(field.section().regions.size()));
  vtkNew<vtkUnstructuredGrid> grid;
  builder.finish(grid);
  add_field_data(grid->GetFieldData(), field.section(), frame, solution.rotor_angle);
  vtkNew<vtkXMLUnstructuredGridWriter> writer;
  writer->SetInputData(grid);
  writer->SetDataModeToAppended();
  writer->SetEncodeAppendedData(false);
  writer->SetCompressorTypeToZLib();
  writer->SetCompressionLevel(1);  // float32 fields hardly shrink further, and the default takes three times as long
  writer->WriteToOutputStringOn();
  if (!writer->Write()) throw FileError("the field file could not be composed");
  return writer->GetOutputString();
}

void write_vtu(const StaticField& field, const Excitation& excitation, const StaticSolution& solution, double frame,
               const std::filesystem::path& path) {
  write_file(path.string(), vtu_text(field, excitation, solution, frame));
}

std::string pvd_text(const std::vector<std::pair<double, std::string>>& steps, const std::string& step_label) {
  std::string text = fmt::format(
      "<?xml version=\"1.0\"?>\n<VTKFile type=\"Collection\" version=\"0.1\" byte_order=\"LittleEndian\">\n"
      "  <!-- timestep: {} -->\n  <Collection>\n",
      step_label);
  for (const auto& [step, file] : steps)
    text += fmt::format("    <DataSet timestep=\"{:.10g}\" file=\"{}\"/>\n", step, xml_escaped(file));
  return text + "  </Collection>\n</VTKFile>\n";
}

void write_pvd(const std::vector<std::pair<double, std::string>>& steps, const std::string& step_label,
               const std::filesystem::path& path) {
  write_file(path.string(), pvd_text(steps, step_label));
}

}  // namespace polepitch
