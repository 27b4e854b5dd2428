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

// Of a fan: the number of its sections, then for each angle, weight and power, and length and text
// of what a section alone would have.
constexpr std::string_view fan_mark = "tiltfin fan restart 1\n";
constexpr std::size_t most_sections = 64;

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

/// The text of one section.
std::string section_text(const Solution& solution) {
  std::string text(file_mark);
  append(text, &solution.film_temperature, sizeof(double));
  append(text, &solution.problem.heat_peclet, sizeof(double));
  append(text, &solution.coarse_ratio, sizeof(double));
  append(text, solution.state);
  if (solution.coarse_state) {
    append(text, *solution.coarse_state);
  }
  return text;
}

void append_section(std::string& text, const Solution& solution) {
  const std::string own = section_text(solution);
  const std::size_t n = own.size();
  append(text, &solution.part.angle_deg, sizeof(double));
  append(text, &solution.part.weight, sizeof(double));
  append(text, &solution.part.power, sizeof(double));
  append(text, &n, sizeof n);
  text += own;
}

/// Both meshes, or the finest of two.
enum class Meshes { all, finest };

std::optional<Solution> take_section(std::string_view left, const Case& the_case,
                                     const Section& section, const Condition& condition,
                                     Meshes meshes) {
  std::optional<Solution> solution = take_finest(left, the_case, section, condition);
  if (!solution || meshes == Meshes::finest) {
    return solution;
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

/// A place in a fan such as one has.
bool is_sound(const FanPart& part) {
  return part.angle_deg >= 0.0 && part.angle_deg <= 90.0 && part.weight > 0.0 &&
         part.weight <= 1.0 && part.power >= 0.0 && std::isfinite(part.power);
}

/// One after the other, what a fan's sections take off the front; nothing when one is amiss.
std::optional<Solution> take_fan(std::string_view left, const Case& the_case,
                                 const Section& section, const Condition& condition,
                                 Meshes meshes) {
  std::size_t n_sections = 0;
  if (!take(left, &n_sections, sizeof n_sections) || n_sections < 2 || n_sections > most_sections) {
    return std::nullopt;
  }
  std::optional<Solution> whole;
  for (std::size_t k = 0; k < n_sections; ++k) {
    FanPart part;
    std::size_t n = 0;
    if (!take(left, &part.angle_deg, sizeof(double)) || !take(left, &part.weight, sizeof(double)) ||
        !take(left, &part.power, sizeof(double)) || !take(left, &n, sizeof n) || n > left.size() ||
        !is_sound(part)) {
      return std::nullopt;
    }
    std::optional<Solution> own =
        take_section(left.substr(0, n), the_case, section, in_part(condition, part), meshes);
    left.remove_prefix(n);
    if (!own) {
      return std::nullopt;
    }
    own->part = part;
    own->own_report = own->report;
    if (whole) {
      whole->others.push_back(std::move(*own));
    } else {
      whole = std::move(own);
    }
  }
  return left.empty() ? std::move(whole) : std::nullopt;
}

std::optional<Solution> take_solution(std::string_view text, const Case& the_case,
                                      const Section& section, const Condition& condition,
                                      Meshes meshes) {
  if (text.starts_with(fan_mark)) {
    return take_fan(text.substr(fan_mark.size()), the_case, section, condition, meshes);
  }
  return take_section(text, the_case, section, condition, meshes);
}

} // namespace

void write_restart(const std::filesystem::path& path, const Case& the_case,
                   const Solution& solution) {
  std::string text;
  if (solution.others.empty()) {
    text = section_text(solution);
  } else {
    const std::size_t n_sections = 1 + solution.others.size();
    text = fan_mark;
    append(text, &n_sections, sizeof n_sections);
    append_section(text, solution);
    for (const Solution& other : solution.others) {
      append_section(text, other);
    }
  }
  write_stored_bytes(path, std::move(text), crc32_of_case(the_case));
}

std::optional<Solution> read_restart(const std::filesystem::path& path, const Case& the_case,
                                     const Section& section, const Condition& condition,
                                     const Case* written_for) {
  const std::string text = bytes_at(path, written_for == nullptr ? the_case : *written_for);
  return take_solution(text, the_case, section, condition, Meshes::all);
}

void check_restart(const std::filesystem::path& path, const Case& the_case) {
  (void)bytes_at(path, the_case);
}

std::optional<Solution> read_finest(const std::filesystem::path& path, const Case& the_case,
                                    const Section& section, const Condition& condition) {
  const std::string text = bytes_at(path, the_case);
  return take_solution(text, the_case, section, condition, Meshes::finest);
}

} // namespace tiltfin
