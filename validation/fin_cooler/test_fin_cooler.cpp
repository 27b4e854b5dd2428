#include "validation/peak.hpp"
#include "validation/reference.hpp"

using namespace tiltfin;
using namespace tiltfin::validation;

namespace {

constexpr double book_gap = 7.45;    // mm
constexpr int n_fins = 14;           // of the book's cooler
constexpr double fin_height = 0.024; // m

/// h = q / (T_fin - T_room) with the mean flux of one face of a gap [W/(m2 K)], and the heat of
/// the book's cooler [W].
std::map<std::string, Computed> cooler(const Case& the_case, double gap_mm) {
  Section section = the_case.panels[0].sections.front();
  section.width *= gap_mm / book_gap;
  const double warmer = section.sides[west].temperature - the_case.room_temperature;
  return measured(solve(the_case, section, named_orientation("upright").down, the_case.gravity),
                  [&](const Problem& problem, const State& state) -> Quantities {
                    const double per_depth = -side_heat(problem, state)[west];
                    return {{"h", per_depth / (section.height * warmer)},
                            {"heat of 14 fins", 2.0 * n_fins * fin_height * per_depth}};
                  });
}

/// The gap with the largest h / S [mm].
Computed best_gap(const Case& the_case) {
  std::vector<double> log_gap;
  std::vector<double> heat;
  std::vector<double> coarse_heat;
  Computed film;
  for (const double gap : {6.2, 6.8, 7.45, 8.2, 9.0, 9.9}) {
    film = cooler(the_case, gap).at("h");
    log_gap.push_back(std::log(gap));
    heat.push_back(film.value / gap);
    coarse_heat.push_back(film.coarse / gap);
  }
  return {std::exp(peak(log_gap, heat).position), std::exp(peak(log_gap, coarse_heat).position),
          film.mesh};
}

} // namespace

TEST_CASE("Fin cooler: a worked example's heat and best gap come out", "[validation]") {
  const Case the_case = read_case_of("fin_cooler");
  const std::map<std::string, Computed> book = cooler(the_case, book_gap);
  compare("fin_cooler", [&](const std::string& quantity, const std::string&) {
    return quantity == "best gap" ? best_gap(the_case) : book.at(quantity);
  });
}
