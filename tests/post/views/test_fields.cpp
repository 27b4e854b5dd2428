#include "post/views/fields.hpp"
#include "solver/pressure.hpp"
#include "tests/post/fixtures.hpp"
#include "tests/scratch.hpp"

#include <vtkCellData.h>
#include <vtkDataArray.h>
#include <vtkFieldData.h>
#include <vtkNew.h>
#include <vtkPointData.h>
#include <vtkRectilinearGrid.h>
#include <vtkStringArray.h>
#include <vtkXMLRectilinearGridReader.h>

#include <cmath>
#include <fstream>
#include <iterator>

namespace tiltfin::tests {
namespace {

const std::string of_case = "00c0ffee";

/// A solution with flow, so that every array has something in it.
Solution flowing_solution() {
  Solution solution = small_solution(-9.8, 0.0);
  const TensorMesh& mesh = solution.problem.mesh;
  solution.state.psi =
      state_of(
          mesh, [](double x, double y) { return x <= 0.065 ? 0.0 : y * (x - 0.065); },
          constant(0.0))
          .psi;
  return solution;
}

Outcome outcome_of_small() {
  Outcome outcome;
  outcome.panel = "panel-on";
  outcome.orientation = "flat-up";
  outcome.power_w = 10.0;
  outcome.status = SolveStatus::converged;
  return outcome;
}

std::string text_of(vtkRectilinearGrid& grid, const char* name, vtkIdType index = 0) {
  auto* array = vtkStringArray::SafeDownCast(grid.GetFieldData()->GetAbstractArray(name));
  REQUIRE(array != nullptr);
  return array->GetValue(index);
}

double number_of(vtkFieldData& data, const char* name, vtkIdType tuple, int component = 0) {
  vtkDataArray* array = data.GetArray(name);
  REQUIRE(array != nullptr);
  return array->GetComponent(tuple, component);
}

} // namespace

TEST_CASE("Fields: a VTK reader finds what was written", "[fields]") {
  const Scratch scratch("fields");
  const Section section = small_cooler();
  const Solution solution = flowing_solution();
  const std::filesystem::path path = scratch / "condition.vtr";
  write_fields(path, section, solution, outcome_of_small(), of_case);
  CHECK_FALSE(std::filesystem::exists(scratch / "condition.vtr.part"));

  vtkNew<vtkXMLRectilinearGridReader> reader;
  reader->SetFileName(path.c_str());
  reader->Update();
  vtkRectilinearGrid& grid = *reader->GetOutput();
  const TensorMesh& mesh = solution.problem.mesh;
  REQUIRE(grid.GetNumberOfCells() == mesh.n_cells());
  REQUIRE(grid.GetNumberOfPoints() == mesh.n_nodes());
  CHECK(grid.GetXCoordinates()->GetComponent(3, 0) == mesh.x.at(3));

  const std::vector<double> p = pressure(solution.problem, solution.state);
  vtkFieldData& cells = *grid.GetCellData();
  int differences = 0; // doubles are stored as they are, so not one bit may change
  for (int c = 0; c < mesh.n_cells(); ++c) {
    const double read_p = number_of(cells, "pressure_pa", c);
    const bool same_p = std::isnan(p[c]) ? std::isnan(read_p) : read_p == p[c];
    const bool same_t =
        number_of(cells, "temperature_c", c) == solution.state.temperature[c] - 273.15;
    const bool same_region = number_of(cells, "material", c) == mesh.region[c];
    differences += same_p && same_t && same_region ? 0 : 1;
  }
  CHECK(differences == 0);
  for (int n = 0; n < mesh.n_nodes(); ++n) {
    differences +=
        number_of(*grid.GetPointData(), "streamfunction_m2_per_s", n) == solution.state.psi[n] ? 0
                                                                                               : 1;
  }
  CHECK(differences == 0);

  // psi = y (x - 0.065): u = x - 0.065, v = -y, exact for the discrete curl of a bilinear field.
  const int beside = mesh.cell(30, 10);
  CHECK_THAT(number_of(cells, "velocity_m_per_s", beside, 0),
             WithinRel(mesh.x.centre(30) - 0.065, 1e-9));
  CHECK_THAT(number_of(cells, "velocity_m_per_s", beside, 1), WithinRel(-mesh.y.centre(10), 1e-9));
  // 10 W in a base of 10 by 40 mm and 50 mm depth.
  CHECK_THAT(number_of(cells, "heat_release_w_per_m3", mesh.cell(5, 10)),
             WithinRel(10.0 / (0.01 * 0.04 * 0.05), 1e-9));

  vtkFieldData& facts = *grid.GetFieldData();
  CHECK(number_of(facts, "gravity_m_per_s2", 0, 0) == -9.8);
  CHECK(number_of(facts, "gravity_m_per_s2", 0, 1) == 0.0);
  CHECK(number_of(facts, "power_w", 0) == 10.0);
  CHECK(number_of(facts, "depth_m", 0) == 0.05);
  CHECK(text_of(grid, "panel") == "panel-on");
  CHECK(text_of(grid, "orientation") == "flat-up");
  CHECK(text_of(grid, "status") == "converged");
  CHECK(text_of(grid, "material_names", 0) == "air");
  CHECK(text_of(grid, "material_names", 2) == "fin-1");
}

TEST_CASE("Fields: what a picture shows of them comes back", "[fields]") {
  const Scratch scratch("fields-back");
  const Section section = small_cooler();
  const Solution solution = flowing_solution();
  const std::filesystem::path path = scratch / "condition.vtr";
  write_fields(path, section, solution, outcome_of_small(), of_case);
  const SeenFlow flow = read_fields(path, section, outcome_of_small(), of_case);
  const TensorMesh& mesh = solution.problem.mesh;
  CHECK((flow.mesh.x.faces == mesh.x.faces));
  CHECK((flow.mesh.y.faces == mesh.y.faces));
  CHECK((flow.mesh.region == mesh.region));
  CHECK((flow.state.psi == solution.state.psi));
  CHECK(flow.gravity_x == -9.8);
  CHECK(flow.gravity_y == 0.0);
  double largest = 0.0;
  for (int c = 0; c < mesh.n_cells(); ++c) {
    largest =
        std::max(largest, std::abs(flow.state.temperature[c] - solution.state.temperature[c]));
  }
  CHECK(largest < 1e-12 * 400.0); // degrees to kelvins and back: a few bits of 400 K
}

TEST_CASE("Fields: a file that is gone, cut short or of something else is refused by name",
          "[fields]") {
  const Scratch scratch("fields-bad");
  const Section section = small_cooler();
  const Outcome outcome = outcome_of_small();
  const std::filesystem::path path = scratch / "condition.vtr";
  const auto refusal = [&path](const std::string& words) {
    return ContainsSubstring(path.string() + ": found " + words);
  };
  CHECK_THROWS_WITH(read_fields(path, section, outcome, of_case), refusal("no file"));
  write_fields(path, section, flowing_solution(), outcome, of_case);
  Section other = section;
  other.height = 0.07;
  CHECK_THROWS_WITH(read_fields(path, other, outcome, of_case),
                    refusal("a mesh of another section"));
  other = section;
  other.solids.pop_back();
  CHECK_THROWS_WITH(read_fields(path, other, outcome, of_case), refusal("a solid"));
  Outcome warmer = outcome;
  warmer.power_w = 12.0;
  CHECK_THROWS_WITH(read_fields(path, section, warmer, of_case),
                    refusal("those of panel-on, flat-up, 10 W"));

  CHECK_THROWS_WITH(read_fields(path, section, outcome, "0badcafe"),
                    refusal("what was written for another case"));
  std::filesystem::copy_file(path, scratch / "other.vtr");
  CHECK_THROWS_WITH(read_fields(scratch / "other.vtr", section, outcome, of_case),
                    ContainsSubstring("other.vtr: found what was written as condition.vtr"));

  std::ifstream file(path, std::ios::binary);
  const std::string whole{std::istreambuf_iterator<char>(file), {}};
  for (const double share : {0.0, 0.02, 0.3, 0.9}) { // in the text before the data, and in these
    INFO(share);
    std::ofstream(path, std::ios::binary)
        << whole.substr(0, static_cast<std::size_t>(share * static_cast<double>(whole.size())));
    CHECK_THROWS_AS(read_fields(path, section, outcome, of_case), FieldsError);
  }
  for (std::size_t k = 0; k < whole.size(); k += 97) { // one bit, anywhere
    INFO(k);
    std::string flipped = whole;
    flipped[k] = static_cast<char>(flipped[k] ^ 1);
    std::ofstream(path, std::ios::binary) << flipped;
    CHECK_THROWS_AS(read_fields(path, section, outcome, of_case), FieldsError);
  }
  std::ofstream(path, std::ios::binary) << whole;
  CHECK_NOTHROW(read_fields(path, section, outcome, of_case));
}

TEST_CASE("Fields: a path that cannot be written is named", "[fields]") {
  const std::filesystem::path path =
      std::filesystem::temp_directory_path() / "tiltfin-no-such-directory" / "condition.vtr";
  CHECK_THROWS_WITH(
      write_fields(path, small_cooler(), flowing_solution(), outcome_of_small(), of_case),
      ContainsSubstring(path.string()));
}

TEST_CASE("Fields: nothing of the run itself is written, so that two runs give the same bytes",
          "[fields]") {
  const Scratch scratch("fields");
  const std::filesystem::path path = scratch / "condition.vtr";
  write_fields(path, small_cooler(), flowing_solution(), outcome_of_small(), of_case);
  std::ifstream file(path, std::ios::binary);
  const std::string text{std::istreambuf_iterator<char>(file), {}};
  CHECK(text.find("Name=\"x_m\"") != std::string::npos);
  CHECK(text.find("Name=\"Array 0x") == std::string::npos); // the address of an array without name
}

} // namespace tiltfin::tests
