#include "solver/fluxes.hpp"

#include <numbers>

#include "validation/peak.hpp"
#include "validation/reference.hpp"

using namespace tiltfin;
using namespace tiltfin::validation;

namespace {

constexpr double base_width = 170.0; // mm, across the fins
constexpr double exponent = 1.35;    // of heat in excess, to begin with

/// A published array in mm, how far its base is above the room, and how it stands.
struct Array {
  double length = 0.0;
  double height = 0.0;
  double gap = 0.0;
  double thickness = 3.0;
  double excess = 50.0; ///< [K]
  double tilt = 0.0;    ///< degrees: 0 base vertical, 90 facing up, -90 facing down
  double gravity = 1.0; ///< times the case's own

  /// Fins and the base between them [m2 per m of base width].
  [[nodiscard]] double area() const {
    return 1e-3 * length * (2.0 * height + gap) / (gap + thickness);
  }
};

void replace(std::string& text, const std::string& line, const std::string& by) {
  const std::size_t place = text.find("\n" + line + "\n");
  CAPTURE(line);
  REQUIRE(place != std::string::npos);
  text.replace(place + 1, line.size(), by);
}

/// The case with the array's sizes, and with as many fins as its base holds.
Case case_of(const Array& array) {
  std::string text = read_case_of("fin_orientation").text;
  const std::string length = print("%g", array.length);
  replace(text, "height_mm = 270", "height_mm = " + print("%g", array.length + 20.0));
  replace(text, "height_mm = 250", "height_mm = " + length);
  replace(text, "chip_length_mm = 250", "chip_length_mm = " + length);
  replace(text, "base_length_mm = 250", "base_length_mm = " + length);
  const double fins = std::round(base_width / (array.gap + array.thickness)) + 1.0;
  replace(text, "fins = 15", "fins = " + print("%g", fins));
  replace(text, "fin_thickness_mm = 3", "fin_thickness_mm = " + print("%g", array.thickness));
  replace(text, "fin_height_mm = 25", "fin_height_mm = " + print("%g", array.height));
  if (array.height > 45.0) { // the room's outline keeps its distance from the tips
    replace(text, "width_mm = 100", "width_mm = " + print("%g", array.height + 75.0));
  }
  replace(text, "fin_gap_mm = 8.8", "fin_gap_mm = " + print("%g", array.gap));
  return parse_case(text, "fin_orientation");
}

/// Power per metre of base width [W/m] and the excess that it brings on both meshes [K].
struct Point {
  double power = 0.0;
  double excess = 0.0;
  double coarse_excess = 0.0;
};

/// Solves arrays, each from the last one of the same sizes.
class Solver {
public:
  /// Film coefficient of the array's area at its excess [W/(m2 K)].
  Computed film(const Array& array) {
    const std::string key = key_of(array, true);
    const auto known = films_.find(key);
    if (known != films_.end()) {
      return known->second;
    }
    if (key_of(array, false) != sizes_) {
      sizes_ = key_of(array, false);
      case_ = case_of(array);
      last_.reset();
    }
    const double guess = guess_ * array.area() * array.excess;
    Point before = solve(array, guess);
    Point point = solve(array, guess * std::pow(array.excess / before.excess, exponent));
    for (int k = 0; k < 4 && std::abs(point.excess / array.excess - 1.0) > 0.02; ++k) {
      before = point;
      point = solve(array, point.power * std::pow(array.excess / point.excess, exponent));
    }
    REQUIRE_THAT(point.excess, Catch::Matchers::WithinRel(array.excess, 0.02));
    // The last per cent or two by the power law of the two points.
    const double ratio = std::log(point.excess / before.excess);
    const double law =
        std::abs(ratio) > 1e-3 ? std::log(point.power / before.power) / ratio : exponent;
    const auto at_excess = [&](double excess) {
      return point.power * std::pow(array.excess / excess, law) / (array.area() * array.excess);
    };
    guess_ = at_excess(point.excess);
    return films_[key] = {guess_, at_excess(point.coarse_excess), cells_of(last_->problem.mesh),
                          mesh_pair(*last_)};
  }

private:
  static std::string key_of(const Array& array, bool with_standing) {
    std::string key = print("%g ", array.length) + print("%g ", array.height) +
                      print("%g ", array.gap) + print("%g ", array.thickness);
    if (with_standing) {
      key += print("%g ", array.excess) + print("%g ", array.tilt) + print("%.6f", array.gravity);
    }
    return key;
  }

  Point solve(const Array& array, double power) {
    const Section& section = case_.panels[0].sections.front();
    const Vector3 down = tilted_orientation(array.tilt).down;
    const double gravity = case_.gravity * array.gravity;
    NestedOptions options;
    options.examine_stability = false; // published steady flows, whatever their stability
    options.resolution = case_.resolution;
    options.calm = case_.calm;
    const AirRule air{case_.air, case_.room_temperature};
    const Condition condition{gravity * down[0], gravity * down[1], power * section.depth};
    Solution solution = solve_nested(section, condition, air, options, last_ ? &*last_ : nullptr);
    if (last_ && solution.report.status != SolveStatus::converged) {
      solution = solve_nested(section, condition, air, options);
    }
    CAPTURE(array.length, array.height, array.gap, array.excess, array.tilt, array.gravity);
    REQUIRE((solution.report.status == SolveStatus::converged ||
             solution.report.status == SolveStatus::time_average));
    const auto above_room = [&](const Problem& problem, const State& state) {
      return solid_temperature(problem, state, section.base).mean - case_.room_temperature;
    };
    const double excess = above_room(solution.problem, solution.state);
    const double coarse_excess = solution.coarse_state
                                     ? above_room(*solution.coarse_problem, *solution.coarse_state)
                                     : std::numeric_limits<double>::quiet_NaN();
    last_ = std::move(solution);
    return {power, excess, coarse_excess};
  }

  std::string sizes_;
  Case case_;
  std::optional<Solution> last_;
  double guess_ = 2.5; // W/(m2 K)
  std::map<std::string, Computed> films_;
};

Computed quotient(const Computed& a, const Computed& b) {
  return {a.value / b.value, a.coarse / b.coarse, a.mesh, a.pair};
}

/// "L 250 H 25 s 8.8 t 3 dT 50 at -60".
Array array_of(const std::string& condition) {
  Array array;
  std::istringstream words(condition);
  std::string word;
  while (words >> word) {
    double value = 0.0;
    REQUIRE(words >> value);
    double& field = word == "L"    ? array.length
                    : word == "H"  ? array.height
                    : word == "s"  ? array.gap
                    : word == "t"  ? array.thickness
                    : word == "dT" ? array.excess
                                   : array.tilt;
    field = value;
  }
  return array;
}

/// The same array upright, under the gravity along the fins that its tilt leaves.
Array along_fins(Array array) {
  array.gravity = std::cos(array.tilt * std::numbers::pi / 180.0);
  array.tilt = 0.0;
  return array;
}

Array upright(Array array) {
  array.tilt = 0.0;
  return array;
}

/// Elenbaas's parallel plates with the array's gap, length and excess [W/(m2 K)].
double plates(const Case& the_case, const Array& array) {
  const AirProperties air =
      air_at(the_case.room_temperature + 0.5 * array.excess, the_case.room_temperature);
  const double gap = 1e-3 * array.gap;
  const double rayleigh = the_case.gravity * air.expansion * array.excess * gap * gap * gap /
                          (air.kinematic_viscosity() * air.diffusivity());
  const double elenbaas = rayleigh * array.gap / array.length;
  return elenbaas / 24.0 * std::pow(1.0 - std::exp(-35.0 / elenbaas), 0.75) * air.conductivity /
         gap;
}

/// The gap at which a base of given width gives off the most [mm].
Computed best_gap(Solver& solver, Array array) {
  std::vector<double> log_gap;
  std::vector<double> heat;
  std::vector<double> coarse_heat;
  Computed film;
  for (const double gap : {6.0, 7.0, 8.2, 9.6, 11.2, 13.0, 15.2}) {
    array.gap = gap;
    film = solver.film(array);
    log_gap.push_back(std::log(gap));
    heat.push_back(film.value * array.area());
    coarse_heat.push_back(film.coarse * array.area());
  }
  return {std::exp(peak(log_gap, heat).position), std::exp(peak(log_gap, coarse_heat).position),
          film.mesh, film.pair};
}

Computed compared(Solver& solver, const std::string& quantity, const Array& array) {
  if (quantity == "best gap") {
    return best_gap(solver, array);
  }
  const Computed film = solver.film(array);
  if (quantity == "h / h(g cos)") {
    return quotient(film, solver.film(along_fins(array)));
  }
  if (quantity == "h / h upright") {
    return quotient(film, solver.film(upright(array)));
  }
  if (quantity == "h / plates") {
    const double known = plates(read_case_of("fin_orientation"), array);
    return {film.value / known, film.coarse / known, film.mesh, film.pair};
  }
  REQUIRE(quantity == "h");
  return film;
}

} // namespace

TEST_CASE("Fin orientation: turned arrays give off what is published", "[validation]") {
  Solver solver;
  compare("fin_orientation", [&](const std::string& quantity, const std::string& condition) {
    return compared(solver, quantity, array_of(condition));
  });
}

TEST_CASE("Fin orientation: the table of tilts is what is computed", "[validation]") {
  Solver solver;
  std::vector<std::vector<std::string>> fresh;
  const char* sizes = "L 250 H 25 s 8.8 t 3 dT 50";
  for (const double tilt : {-90.0, -85.0, -80.0, -75.0, -60.0, -45.0, -30.0, -20.0, -10.0, 0.0,
                            10.0, 20.0, 30.0, 45.0, 60.0, 75.0, 80.0, 85.0, 90.0}) {
    Array array = array_of(sizes);
    array.tilt = tilt;
    const double film = solver.film(array).value;
    const double level = solver.film(upright(array)).value;
    const bool has_law = std::abs(tilt) < 90.0;
    const double law = has_law ? solver.film(along_fins(array)).value / level
                               : std::numeric_limits<double>::quiet_NaN();
    fresh.push_back({sizes, print("%+g", tilt), print("%.3f", film), print("%.3f", film / level),
                     has_law ? print("%.3f", law) : "-"});
    print_row(fresh.back());
  }
  std::vector<std::vector<std::string>> shown;
  for (const auto& row : table_rows(folder("fin_orientation") + "README.md", "")) {
    if (row[0].starts_with("L ")) {
      shown.push_back(row);
    }
  }
  REQUIRE(shown.size() == fresh.size());
  for (std::size_t k = 0; k < fresh.size(); ++k) {
    CAPTURE(fresh[k], shown[k]);
    CHECK(fresh[k][0] == shown[k][0]);
    CHECK(fresh[k][1] == shown[k][1]);
    CHECK_THAT(std::stod(fresh[k][2]), Catch::Matchers::WithinRel(std::stod(shown[k][2]), 2e-3));
    CHECK_THAT(std::stod(fresh[k][3]), Catch::Matchers::WithinAbs(std::stod(shown[k][3]), 2e-3));
    CHECK(fresh[k][4] == shown[k][4]);
  }
}
