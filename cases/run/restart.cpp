#include "cases/run/restart.hpp"

#include "cases/file/stored.hpp"
#include "mesh/index.hpp"

#include <algorithm>
#include <cmath>
#include <cstring>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

namespace tiltfin {
namespace {

// The last digit changes with the layout: film temperature, upwinding of heat, ratio of the meshes,
// then psi, temperature and link heat of the fine mesh with the fins' temperature, the air's age
// and radiation, then, if there is one, of the coarse one, each preceded by its length.
constexpr std::string_view file_mark = "tiltfin restart 4\n";

void append(std::string& text, const void* data, std::size_t size) {
  if (size == 0) {
    return; // an empty list has no address
  }
  const std::size_t old = text.size();
  text.resize(old + size);
  std::memcpy(text.data() + old, data, size);
}

void append(std::string& text, const std::vector<double>& values) {
  const std::size_t n = values.size();
  append(text, &n, sizeof n);
  append(text, values.data(), n * sizeof(double));
}

void append(std::string& text, const State& state) {
  append(text, state.psi);
  append(text, state.temperature);
  append(text, state.link_heat);
  append(text, state.fin_temperature);
  append(text, state.air_age);
  append(text, state.radiosity);
  append(text, state.irradiation);
}

/// Takes values off the front of what is left; false when it ends too early.
bool take(std::string_view& left, void* data, std::size_t size) {
  if (left.size() < size) {
    return false;
  }
  if (size > 0) {
    std::memcpy(data, left.data(), size);
  }
  left.remove_prefix(size);
  return true;
}

/// A list that must have the length n.
bool take(std::string_view& left, std::vector<double>& values, std::size_t n) {
  std::size_t found = 0;
  if (!take(left, &found, sizeof found) || found != n) {
    return false;
  }
  values.resize(n);
  return take(left, values.data(), n * sizeof(double)) &&
         std::ranges::all_of(values, [](double value) { return std::isfinite(value); });
}

bool take(std::string_view& left, State& state, const Problem& problem) {
  return take(left, state.psi, index(problem.mesh.n_nodes())) &&
         take(left, state.temperature, index(problem.mesh.n_cells())) &&
         take(left, state.link_heat, problem.links.size()) &&
         take(left, state.fin_temperature, problem.media.size()) &&
         take(left, state.air_age, problem.media.size()) &&
         take(left, state.radiosity, problem.radiation->zones.size()) &&
         take(left, state.irradiation, problem.radiation->zones.size());
}

/// Empty where there is none.
std::string bytes_at(const std::filesystem::path& path, const Case& the_case) {
  return std::filesystem::exists(path) ? read_stored_bytes(path, crc32_of_case(the_case), "a state")
                                       : std::string();
}

Problem problem_of(const Case& the_case, const Section& section, const Condition& condition,
                   double film_temperature, const TensorMesh& mesh) {
  const AirProperties air =
      the_case.air ? *the_case.air : air_at(film_temperature, the_case.room_temperature);
  return make_problem(section, mesh, condition, air, the_case.calm);
}

/// The three numbers of the head are such as a solve comes to. Of others the air's tables end, or a
/// coarse mesh gets any number of cells.
bool is_sound_head(const Case& the_case, const Solution& solution, double heat_peclet) {
  constexpr double widest_ratio = 4.0; // coarse meshes that are made have up to two
  const double film = solution.film_temperature;
  const bool has_air = film >= coldest_film && film <= hottest_film;
  return (has_air || (the_case.air && std::isfinite(film))) && heat_peclet > 0.0 &&
         std::isfinite(heat_peclet) && solution.coarse_ratio >= 1.0 &&
         solution.coarse_ratio <= widest_ratio;
}

/// The head and the finest mesh's state; nothing when they are not those of the condition.
std::optional<Solution> take_finest(std::string_view& left, const Case& the_case,
                                    const Section& section, const Condition& condition) {
  if (!left.starts_with(file_mark)) {
    return std::nullopt;
  }
  left.remove_prefix(file_mark.size());
  Solution solution;
  double heat_peclet = 0.0;
  if (!take(left, &solution.film_temperature, sizeof(double)) ||
      !take(left, &heat_peclet, sizeof(double)) ||
      !take(left, &solution.coarse_ratio, sizeof(double)) ||
      !is_sound_head(the_case, solution, heat_peclet)) {
    return std::nullopt;
  }
  solution.problem = problem_of(the_case, section, condition, solution.film_temperature,
                                make_mesh(section, the_case.resolution));
  solution.problem.heat_peclet = heat_peclet;
  if (!take(left, solution.state, solution.problem)) {
    return std::nullopt;
  }
  return solution;
}

} // namespace

void write_restart(const std::filesystem::path& path, const Case& the_case,
                   const Solution& solution) {
  std::string text(file_mark);
  append(text, &solution.film_temperature, sizeof(double));
  append(text, &solution.problem.heat_peclet, sizeof(double));
  append(text, &solution.coarse_ratio, sizeof(double));
  append(text, solution.state);
  if (solution.coarse_state) {
    append(text, *solution.coarse_state);
  }
  write_stored_bytes(path, std::move(text), crc32_of_case(the_case));
}

std::optional<Solution> read_restart(const std::filesystem::path& path, const Case& the_case,
                                     const Section& section, const Condition& condition,
                                     const Case* written_for) {
  const std::string text = bytes_at(path, written_for == nullptr ? the_case : *written_for);
  std::string_view left = text;
  std::optional<Solution> solution = take_finest(left, the_case, section, condition);
  if (!solution) {
    return std::nullopt;
  }
  solution->report.status = SolveStatus::converged;
  if (left.empty()) {
    return solution;
  }
  solution->coarse_problem =
      problem_of(the_case, section, condition, solution->film_temperature,
                 make_coarse_mesh(section, the_case.resolution, solution->coarse_ratio));
  solution->coarse_problem->heat_peclet = solution->problem.heat_peclet;
  solution->coarse_state.emplace();
  if (!take(left, *solution->coarse_state, *solution->coarse_problem) || !left.empty()) {
    return std::nullopt;
  }
  return solution;
}

void check_restart(const std::filesystem::path& path, const Case& the_case) {
  (void)bytes_at(path, the_case);
}

std::optional<Solution> read_finest(const std::filesystem::path& path, const Case& the_case,
                                    const Section& section, const Condition& condition) {
  const std::string text = bytes_at(path, the_case);
  std::string_view left = text;
  return take_finest(left, the_case, section, condition);
}

} // namespace tiltfin
