#include "post/views/fields.hpp"

#include "post/numbers/flows.hpp"
#include "post/text/text_file.hpp"
#include "solver/pressure.hpp"

#include <vtkCellData.h>
#include <vtkDoubleArray.h>
#include <vtkErrorCode.h>
#include <vtkFieldData.h>
#include <vtkIntArray.h>
#include <vtkNew.h>
#include <vtkPointData.h>
#include <vtkRectilinearGrid.h>
#include <vtkStringArray.h>
#include <vtkXMLRectilinearGridWriter.h>

#include <limits>
#include <stdexcept>
#include <vector>

namespace tiltfin {
namespace {

void add_array(vtkFieldData& data, const char* name, const std::vector<double>& values,
               int n_components = 1) {
  vtkNew<vtkDoubleArray> array;
  array->SetName(name);
  array->SetNumberOfComponents(n_components);
  array->SetNumberOfTuples(static_cast<vtkIdType>(values.size()) / n_components);
  for (std::size_t k = 0; k < values.size(); ++k) {
    array->SetValue(static_cast<vtkIdType>(k), values[k]);
  }
  data.AddArray(array);
}

void add_text(vtkFieldData& data, const char* name, const std::vector<std::string>& values) {
  vtkNew<vtkStringArray> array;
  array->SetName(name);
  for (const std::string& value : values) {
    array->InsertNextValue(value);
  }
  data.AddArray(array);
}

void add_material(vtkFieldData& data, const std::vector<int>& region) {
  vtkNew<vtkIntArray> array;
  array->SetName("material");
  array->SetNumberOfTuples(static_cast<vtkIdType>(region.size()));
  for (std::size_t k = 0; k < region.size(); ++k) {
    array->SetValue(static_cast<vtkIdType>(k), region[k]);
  }
  data.AddArray(array);
}

void set_axes(vtkRectilinearGrid& grid, const TensorMesh& mesh) {
  const auto coordinates = [](const char* name, const std::vector<double>& faces) {
    vtkNew<vtkDoubleArray> array;
    array->SetName(name); // without one VTK writes the array's address, another in every run
    for (const double face : faces) {
      array->InsertNextValue(face);
    }
    return array;
  };
  grid.SetDimensions(mesh.x.n() + 1, mesh.y.n() + 1, 1);
  grid.SetXCoordinates(coordinates("x_m", mesh.x.faces));
  grid.SetYCoordinates(coordinates("y_m", mesh.y.faces));
  grid.SetZCoordinates(coordinates("z_m", {0.0}));
}

/// Of every cell, three components with the last zero.
std::vector<double> cell_velocities(const TensorMesh& mesh, const State& state) {
  std::vector<double> velocities;
  for (int j = 0; j < mesh.y.n(); ++j) {
    for (int i = 0; i < mesh.x.n(); ++i) {
      const CellVelocity velocity = cell_velocity(mesh, state, i, j);
      velocities.insert(velocities.end(), {velocity.x, velocity.y, 0.0});
    }
  }
  return velocities;
}

std::vector<double> heat_release(const Problem& problem) {
  const TensorMesh& mesh = problem.mesh;
  std::vector<double> density;
  for (int j = 0; j < mesh.y.n(); ++j) {
    for (int i = 0; i < mesh.x.n(); ++i) {
      density.push_back(problem.heat[mesh.cell(i, j)] / (mesh.x.width(i) * mesh.y.width(j)));
    }
  }
  return density;
}

void add_fields(vtkRectilinearGrid& grid, const Solution& solution) {
  const Problem& problem = solution.problem;
  std::vector<double> temperature = solution.state.temperature;
  for (double& value : temperature) {
    value -= zero_celsius;
  }
  vtkFieldData& cells = *grid.GetCellData();
  add_array(cells, "temperature_c", temperature);
  add_array(cells, "velocity_m_per_s", cell_velocities(problem.mesh, solution.state), 3);
  add_array(cells, "pressure_pa", pressure(problem, solution.state));
  add_material(cells, problem.mesh.region);
  add_array(cells, "heat_release_w_per_m3", heat_release(problem));
  if (!problem.media.empty()) {
    const auto n = static_cast<std::size_t>(problem.mesh.n_cells());
    std::vector<double> fins(n, std::numeric_limits<double>::quiet_NaN());
    std::vector<double> porosity(n, 1.0);
    for (std::size_t k = 0; k < problem.media.size(); ++k) {
      fins[problem.media[k].cell] = solution.state.fin_temperature[k] - zero_celsius;
      porosity[problem.media[k].cell] = problem.media[k].porosity;
    }
    add_array(cells, "fin_temperature_c", fins);
    add_array(cells, "porosity", porosity);
  }
  add_array(*grid.GetPointData(), "streamfunction_m2_per_s", solution.state.psi);
}

void add_facts(vtkRectilinearGrid& grid, const Section& section, const Problem& problem,
               const Outcome& outcome) {
  vtkFieldData& facts = *grid.GetFieldData();
  add_array(facts, "gravity_m_per_s2", {problem.gravity_x, problem.gravity_y, 0.0}, 3);
  add_array(facts, "power_w", {outcome.power_w});
  add_array(facts, "depth_m", {section.depth});
  add_text(facts, "panel", {outcome.panel});
  add_text(facts, "orientation", {outcome.orientation});
  add_text(facts, "status", {name(outcome.status)});
  std::vector<std::string> materials{"air"};
  for (const Solid& solid : section.solids) {
    materials.push_back(solid.name);
  }
  add_text(facts, "material_names", materials);
}

} // namespace

void write_fields(const std::filesystem::path& path, const Section& section,
                  const Solution& solution, const Outcome& outcome) {
  vtkNew<vtkRectilinearGrid> grid;
  set_axes(*grid, solution.problem.mesh);
  add_fields(*grid, solution);
  add_facts(*grid, section, solution.problem, outcome);

  vtkNew<vtkXMLRectilinearGridWriter> writer;
  writer->SetCompressorTypeToZLib();
  writer->SetDataModeToAppended();
  writer->EncodeAppendedDataOff();
  writer->SetInputData(grid);
  writer->WriteToOutputStringOn();
  writer->Write();
  if (writer->GetErrorCode() != vtkErrorCode::NoError) {
    throw WriteError("cannot write " + path.string() + ": " +
                     vtkErrorCode::GetStringFromErrorCode(writer->GetErrorCode()));
  }
  write_text(path, writer->GetOutputString());
}

} // namespace tiltfin
