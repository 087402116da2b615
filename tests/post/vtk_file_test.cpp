// Field files read back with VTK.
#include "post/vtk_file.h"

#include <gtest/gtest.h>
#include <vtkCell.h>
#include <vtkCellData.h>
#include <vtkCellType.h>
#include <vtkDataArray.h>
#include <vtkFieldData.h>
#include <vtkInformation.h>
#include <vtkInformationStringKey.h>
#include <vtkNew.h>
#include <vtkPointData.h>
#include <vtkStringArray.h>
#include <vtkUnstructuredGrid.h>
#include <vtkXMLUnstructuredGridReader.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <string>
#include <tuple>

#include "field_machine_helper.h"

namespace polepitch {
namespace {

constexpr double angle = 0.31;
const Excitation excitation{{5, -2, -3, 6}, angle, 1};

struct FieldFile : ::testing::Test {
  void SetUp() override {
    machine = testing::small_machine();
    solution = machine->field->solve(excitation);
    reader->ReadFromInputStringOn();
    reader->SetInputString(vtu_text(*machine->field, excitation, solution, 0.25));
    reader->Update();
    grid = reader->GetOutput();
  }
  vtkDataArray* points(const char* name) const { return grid->GetPointData()->GetArray(name); }

  std::unique_ptr<testing::SmallMachine> machine;
  StaticSolution solution;
  vtkNew<vtkXMLUnstructuredGridReader> reader;
  vtkUnstructuredGrid* grid = nullptr;
};

// Area inside the parabolas through corner, middle, corner: ∮ (x dy − y dx)/2 by two-point Gauss, exact for degree 3.
double cell_area(vtkCell* cell) {
  const int corners = static_cast<int>(cell->GetNumberOfPoints()) / 2;
  double area = 0;
  for (int e = 0; e < corners; ++e) {
    std::array<std::array<double, 3>, 3> p;
    cell->GetPoints()->GetPoint(e, p[0].data());
    cell->GetPoints()->GetPoint(corners + e, p[1].data());
    cell->GetPoints()->GetPoint((e + 1) % corners, p[2].data());
    for (double t : {0.5 - 0.5 / std::sqrt(3.0), 0.5 + 0.5 / std::sqrt(3.0)}) {
      const double n[] = {(1 - t) * (1 - 2 * t), 4 * t * (1 - t), t * (2 * t - 1)},
                   d[] = {4 * t - 3, 4 - 8 * t, 4 * t - 1};
      double x = 0, y = 0, dx = 0, dy = 0;
      for (std::size_t i = 0; i < 3; ++i)
        x += n[i] * p[i][0], y += n[i] * p[i][1], dx += d[i] * p[i][0], dy += d[i] * p[i][1];
      area += 0.25 * (x * dy - y * dx);
    }
  }
  return area;
}

TEST_F(FieldFile, HasEveryCellAndArray) {
  const Mesh& mesh = machine->mesh;
  const vtkIdType triangles = static_cast<vtkIdType>(mesh.triangles.size()) * 4;  // sectors
  vtkIdType found = 0, quads = 0;
  for (vtkIdType c = 0; c < grid->GetNumberOfCells(); ++c) {
    found += grid->GetCellType(c) == VTK_QUADRATIC_TRIANGLE ? 1 : 0;
    quads += grid->GetCellType(c) == VTK_QUADRATIC_QUAD ? 1 : 0;
  }
  EXPECT_EQ(found, triangles);
  EXPECT_GT(quads, 0);
  EXPECT_EQ(found + quads, grid->GetNumberOfCells());
  EXPECT_EQ(grid->GetNumberOfPoints(), 6 * found + 8 * quads);  // every cell owns its points
  const std::array<std::tuple<const char*, int, std::string>, 5> arrays{
      {{"A_z", 1, "Wb/m"}, {"B", 3, "T"}, {"H", 3, "A/m"}, {"J_z", 1, "A/m2"}, {"mu_r", 1, "1"}}};
  for (const auto& [name, components, unit] : arrays) {
    ASSERT_NE(points(name), nullptr) << name;
    EXPECT_EQ(points(name)->GetNumberOfComponents(), components);
    EXPECT_EQ(points(name)->GetDataType(), VTK_FLOAT);
    ASSERT_TRUE(points(name)->GetInformation()->Has(vtkDataArray::UNITS_LABEL())) << name;
    EXPECT_EQ(points(name)->GetInformation()->Get(vtkDataArray::UNITS_LABEL()), unit);
  }
  ASSERT_NE(grid->GetCellData()->GetArray("region"), nullptr);
  auto* names = vtkStringArray::SafeDownCast(grid->GetFieldData()->GetAbstractArray("region_names"));
  ASSERT_NE(names, nullptr);
  EXPECT_EQ(names->GetNumberOfValues(), static_cast<vtkIdType>(machine->section.regions.size()) + 1);
  EXPECT_DOUBLE_EQ(grid->GetFieldData()->GetArray("TimeValue")->GetTuple1(0), 0.25);
  // the frame's number: not seconds
  EXPECT_STREQ(grid->GetFieldData()->GetArray("TimeValue")->GetInformation()->Get(vtkDataArray::UNITS_LABEL()), "1");
  EXPECT_NEAR(grid->GetFieldData()->GetArray("rotor_angle_deg")->GetTuple1(0), angle * 180 / pi, 1e-12);
}

// The cells fill the ring between the far circles: π (R² − r²), formula. Parabolas instead of arcs cost some 1e-6,
// float32 coordinates 1e-7 of it.
TEST_F(FieldFile, CellsFillTheDiscOnce) {
  double area = 0;
  for (vtkIdType c = 0; c < grid->GetNumberOfCells(); ++c) {
    const double own = cell_area(grid->GetCell(c));
    ASSERT_GT(own, 0) << c;
    area += own;
  }
  const double exact = pi * (78e-3 * 78e-3 - 20e-3 * 20e-3);
  EXPECT_NEAR(area, exact, 1e-5 * exact);
}

// First sector and second, stator and rotor: the file's B and H are the solver's, turned and with the sector's sign.
TEST_F(FieldFile, FieldsAreTheSolversTurned) {
  const Mesh& mesh = machine->mesh;
  const double l1[] = {0, 1, 0, 0.5, 0.5, 0}, l2[] = {0, 0, 1, 0, 0.5, 0.5};
  const int count = static_cast<int>(mesh.triangles.size());
  for (int sector : {0, 1, 3})
    for (int t = 0; t < count; t += 7)
      for (int i = 0; i < 6; ++i) {
        const auto b = machine->field->flux_density(solution, t, l1[i], l2[i]);
        const auto h = machine->field->field_strength(solution, t, l1[i], l2[i]);
        const double turn = sector * pi / 2 + (t < mesh.stator_triangles ? 0 : angle), sign = sector % 2 ? -1 : 1;
        const double c = std::cos(turn), s = std::sin(turn);
        const vtkIdType p = 6 * (static_cast<vtkIdType>(sector) * count + t) + i;
        EXPECT_NEAR(points("B")->GetComponent(p, 0), sign * (c * b.x - s * b.y), 2e-6);
        EXPECT_NEAR(points("B")->GetComponent(p, 1), sign * (s * b.x + c * b.y), 2e-6);
        const double size = 1 + std::hypot(h.x, h.y);
        EXPECT_NEAR(points("H")->GetComponent(p, 0), sign * (c * h.x - s * h.y), 1e-6 * size);
        EXPECT_NEAR(points("H")->GetComponent(p, 1), sign * (s * h.x + c * h.y), 1e-6 * size);
      }
}

// B = μ0 μr H wherever there is no magnet (definition), and J_z times the area of each coil is its ampere turns.
TEST_F(FieldFile, MaterialsAndCurrents) {
  std::vector<double> ampere(machine->section.regions.size(), 0.0);
  vtkDataArray* region = grid->GetCellData()->GetArray("region");
  const vtkIdType count = static_cast<vtkIdType>(machine->mesh.triangles.size());
  for (vtkIdType c = 0; c < count; ++c) {
    ampere[static_cast<std::size_t>(region->GetTuple1(c))] +=
        cell_area(grid->GetCell(c)) * points("J_z")->GetTuple1(6 * c);
    const double b = points("B")->GetComponent(6 * c, 0), h = points("H")->GetComponent(6 * c, 0);
    EXPECT_NEAR(mu0 * points("mu_r")->GetTuple1(6 * c) * h, b, 1e-5 * (1 + std::abs(b)));
  }
  for (std::size_t r = 0; r < ampere.size(); ++r) {
    const Region& part = machine->section.regions[r];
    const double expected =
        part.branch < 0 ? 0 : part.turns * excitation.currents[static_cast<std::size_t>(part.branch)];
    EXPECT_NEAR(ampere[r], expected, 1e-4 * std::abs(expected)) << part.name;
  }
}

// A is one function: on both gap circles the annulus' value is the mesh's, but for what the harmonics leave out of the
// trace (here under 1 % of the largest value on a coarse mesh).
TEST_F(FieldFile, PotentialRunsThroughTheGap) {
  const Mesh& mesh = machine->mesh;
  double largest = 0, worst = 0;
  for (int side : {0, 1})
    for (int node : mesh.gap[side].nodes) {
      const Point& p = mesh.nodes[static_cast<std::size_t>(node)];
      const double here = solution.a[static_cast<std::size_t>(node)];
      const double there =
          solution.gap.potential(mesh.gap[side].radius, std::atan2(p.y, p.x) + (side == 1 ? angle : 0));
      largest = std::max(largest, std::abs(here));
      worst = std::max(worst, std::abs(here - there));
    }
  EXPECT_LT(worst, 0.01 * largest);
}

// By construction: the annulus' cells carry what GapField says at their points.
TEST_F(FieldFile, AnnulusCellsCarryTheGapField) {
  const vtkIdType first = static_cast<vtkIdType>(machine->mesh.triangles.size()) * 4;
  for (vtkIdType c = first; c < grid->GetNumberOfCells(); c += 5)
    for (vtkIdType i = 0; i < 8; ++i) {
      const vtkIdType p = 6 * first + 8 * (c - first) + i;
      double at[3];
      grid->GetPoint(p, at);
      const double r = std::clamp(std::hypot(at[0], at[1]), solution.gap.inner_radius(), solution.gap.outer_radius());
      const double theta = std::atan2(at[1], at[0]);
      const GapField::Flux flux = solution.gap.flux_density(r, theta);
      const double bx = points("B")->GetComponent(p, 0), by = points("B")->GetComponent(p, 1);
      // float32 places of 1e-8 m in a field that changes by some 1e3 T/m
      EXPECT_NEAR(bx * std::cos(theta) + by * std::sin(theta), flux.radial, 2e-5);
      EXPECT_NEAR(by * std::cos(theta) - bx * std::sin(theta), flux.tangential, 2e-5);
      EXPECT_NEAR(points("A_z")->GetTuple1(p), solution.gap.potential(r, theta), 1e-7);
    }
}

TEST(FieldSeries, ListsFilesUnderTheirSteps) {
  const std::string text = pvd_text({{0, "a_000.vtu"}, {30, "a&b.vtu"}}, "number of the frame");
  EXPECT_NE(text.find("<!-- timestep: number of the frame -->"), std::string::npos);
  EXPECT_EQ(text.find("rotor"), std::string::npos);  // nothing but the label says what the steps are
  EXPECT_NE(text.find("<DataSet timestep=\"0\" file=\"a_000.vtu\"/>"), std::string::npos);
  EXPECT_NE(text.find("<DataSet timestep=\"30\" file=\"a&amp;b.vtu\"/>"), std::string::npos);
}

}  // namespace
}  // namespace polepitch
