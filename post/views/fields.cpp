#include "post/views/fields.hpp"

#include "post/numbers/flows.hpp"
#include "post/text/checksum.hpp"
#include "post/text/text_file.hpp"
#include "post/views/memory_guard.hpp"
#include "solver/pressure.hpp"

#include <fmt/format.h>
#include <vtkCallbackCommand.h>
#include <vtkCellData.h>
#include <vtkDoubleArray.h>
#include <vtkErrorCode.h>
#include <vtkExecutive.h>
#include <vtkFieldData.h>
#include <vtkIntArray.h>
#include <vtkNew.h>
#include <vtkPointData.h>
#include <vtkRectilinearGrid.h>
#include <vtkStringArray.h>
#include <vtkXMLRectilinearGridReader.h>
#include <vtkXMLRectilinearGridWriter.h>

#include <algorithm>
#include <cmath>
#include <fstream>
#include <functional>
#include <iterator>
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
      density.push_back(problem.heat[mesh.cell(i, j)] / mesh.volume(i, j));
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
  if (section.axis_distance) {
    add_array(facts, "axis_distance_m", {*section.axis_distance});
  }
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
                  const Solution& solution, const Outcome& outcome, const std::string& case_crc32) {
  const MemoryGuard guard;
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
  write_text(path, stored_bytes(writer->GetOutputString(), {path.filename().string(), case_crc32}));
}

namespace {

[[noreturn]] void refuse_fields(const std::filesystem::path& path, const std::string& found) {
  throw FieldsError(fmt::format(
      "{}: found {}, needed are the fields that tiltfin solve wrote there", path.string(), found));
}

/// That the file is as it was written. VTK reads it once more, and leaves out what comes after.
void check_bytes(const std::filesystem::path& path, const std::string& case_crc32) {
  std::ifstream file(path, std::ios::binary);
  const std::string bytes{std::istreambuf_iterator<char>(file), {}};
  try {
    (void)check_stored_bytes(bytes, {path.filename().string(), case_crc32});
  } catch (const StoredError& error) {
    throw FieldsError(fmt::format("{}: {}", path.string(), error.what()));
  }
}

/// Takes VTK's own words off the terminal.
void keep_silent(vtkObject* /*caller*/, unsigned long /*event*/, void* /*data*/, void* /*words*/) {}

/// The values of an array, which must be `n` numbers.
std::vector<double> numbers_of(const std::filesystem::path& path, vtkFieldData& data,
                               const char* name, vtkIdType n) {
  vtkDataArray* array = data.GetArray(name);
  if (array == nullptr || array->GetNumberOfValues() != n) {
    refuse_fields(path, fmt::format("no {} of {} numbers", name, n));
  }
  std::vector<double> values(static_cast<std::size_t>(n));
  for (vtkIdType k = 0; k < n; ++k) {
    values[static_cast<std::size_t>(k)] = array->GetComponent(
        k / array->GetNumberOfComponents(), static_cast<int>(k % array->GetNumberOfComponents()));
  }
  return values;
}

std::string text_of(vtkFieldData& facts, const char* name) {
  auto* texts = vtkStringArray::SafeDownCast(facts.GetAbstractArray(name));
  return texts != nullptr && texts->GetNumberOfValues() > 0 ? std::string(texts->GetValue(0)) : "";
}

/// Ascending faces from 0 to `length`.
Axis read_axis(const std::filesystem::path& path, vtkDataArray* coordinates, double length) {
  Axis axis;
  for (vtkIdType k = 0; coordinates != nullptr && k < coordinates->GetNumberOfTuples(); ++k) {
    axis.faces.push_back(coordinates->GetComponent(k, 0));
  }
  const bool ascends =
      axis.faces.size() >= 2 &&
      std::ranges::adjacent_find(axis.faces, std::greater_equal<>()) == axis.faces.end();
  if (!ascends || std::abs(axis.faces.front()) > same_length ||
      std::abs(axis.faces.back() - length) > same_length) {
    refuse_fields(path, "a mesh of another section");
  }
  return axis;
}

void check_condition(const std::filesystem::path& path, vtkFieldData& facts,
                     const Outcome& outcome) {
  const double power = numbers_of(path, facts, "power_w", 1).front();
  const std::string panel = text_of(facts, "panel");
  const std::string orientation = text_of(facts, "orientation");
  if (panel != outcome.panel || orientation != outcome.orientation || power != outcome.power_w) {
    refuse_fields(path, fmt::format("those of {}, {}, {} W", panel, orientation, power));
  }
}

/// Per cell the number of the medium that its middle lies in, from 1; empty without media.
std::vector<int> media_of(const Section& section, const TensorMesh& mesh) {
  std::vector<int> media(section.media.empty() ? 0 : index(mesh.n_cells()), 0);
  for (std::size_t k = 0; k < section.media.size(); ++k) {
    for (int cell = 0; cell < mesh.n_cells(); ++cell) {
      if (section.media[k].extent.contains(mesh.x.centre(cell % mesh.x.n()),
                                           mesh.y.centre(cell / mesh.x.n()))) {
        media[index(cell)] = static_cast<int>(k) + 1;
      }
    }
  }
  return media;
}

SeenFlow flow_of(const std::filesystem::path& path, vtkRectilinearGrid& grid,
                 const Section& section) {
  SeenFlow flow;
  TensorMesh& mesh = flow.mesh;
  mesh.x = read_axis(path, grid.GetXCoordinates(), section.width);
  mesh.y = read_axis(path, grid.GetYCoordinates(), section.height);
  mesh.depth = depth_ratio(section);
  vtkFieldData& cells = *grid.GetCellData();
  for (const double material : numbers_of(path, cells, "material", mesh.n_cells())) {
    mesh.region.push_back(static_cast<int>(material));
    if (mesh.region.back() < 0 || index(mesh.region.back()) > section.solids.size()) {
      refuse_fields(path, "a solid that the section does not have");
    }
  }
  mesh.medium = media_of(section, mesh);
  flow.state.temperature = numbers_of(path, cells, "temperature_c", mesh.n_cells());
  for (double& value : flow.state.temperature) {
    value += zero_celsius;
  }
  flow.state.psi =
      numbers_of(path, *grid.GetPointData(), "streamfunction_m2_per_s", mesh.n_nodes());
  const auto is_number = [](double value) { return std::isfinite(value); };
  if (!std::ranges::all_of(flow.state.temperature, is_number) ||
      !std::ranges::all_of(flow.state.psi, is_number)) {
    refuse_fields(path, "values that are no numbers");
  }
  const std::vector<double> gravity = numbers_of(path, *grid.GetFieldData(), "gravity_m_per_s2", 3);
  flow.gravity_x = gravity[0];
  flow.gravity_y = gravity[1];
  return flow;
}

} // namespace

SeenFlow read_fields(const std::filesystem::path& path, const Section& section,
                     const Outcome& outcome, const std::string& case_crc32) {
  if (!std::filesystem::exists(path)) {
    refuse_fields(path, "no file");
  }
  check_bytes(path, case_crc32);
  const MemoryGuard guard;
  vtkNew<vtkCallbackCommand> silence;
  silence->SetCallback(keep_silent);
  vtkNew<vtkXMLRectilinearGridReader> reader;
  for (const unsigned long event : {vtkCommand::ErrorEvent, vtkCommand::WarningEvent}) {
    reader->AddObserver(event, silence);
    reader->GetExecutive()->AddObserver(event, silence);
  }
  reader->SetReaderErrorObserver(silence);
  reader->SetParserErrorObserver(silence);
  reader->SetFileName(path.c_str());
  reader->Update();
  vtkRectilinearGrid* grid = reader->GetOutput();
  if (reader->GetErrorCode() != vtkErrorCode::NoError || grid == nullptr ||
      grid->GetNumberOfCells() < 1) {
    refuse_fields(path, "a damaged file");
  }
  check_condition(path, *grid->GetFieldData(), outcome);
  return flow_of(path, *grid, section);
}

} // namespace tiltfin
