#include "solver/slot.hpp"
#include "solver/view_factors.hpp"

#include <numbers>

#include "validation/reference.hpp"

using namespace tiltfin;
using namespace tiltfin::validation;

namespace {

/// The inside of a box of width 1, counter-clockwise from the south side.
std::vector<Strip> box(double height) {
  return {{0.0, 0.0, 1.0, 0.0},
          {1.0, 0.0, 1.0, height},
          {1.0, height, 0.0, height},
          {0.0, height, 0.0, 0.0}};
}

/// From side 1 to side 2 of the triangle with these sides.
double in_triangle(double w1, double w2, double w3) {
  const double x = (w1 * w1 + w3 * w3 - w2 * w2) / (2.0 * w1);
  const double y = std::sqrt(w3 * w3 - x * x);
  const std::vector<Strip> sides{{0.0, 0.0, w1, 0.0}, {w1, 0.0, x, y}, {x, y, 0.0, 0.0}};
  return view_factors(sides).at(0, 1) / w1;
}

/// Of equal strips that share an edge.
double at_an_angle(double degrees) {
  const double alpha = degrees * std::numbers::pi / 180.0;
  return crossed_strings({0.0, 0.0, 1.0, 0.0}, {std::cos(alpha), std::sin(alpha), 0.0, 0.0});
}

/// Heat between two large plates over that between black ones.
Computed of_plates(double emissivity) {
  const Case the_case = read_case_of("view_factors");
  Section section = the_case.panels[0].sections.front();
  section.sides[west].emissivity = emissivity;
  section.sides[east].emissivity = emissivity;
  const auto effective = [&](const Problem& problem, const State& state) -> Quantities {
    const double black = stefan_boltzmann * section.height *
                         (std::pow(section.sides[west].temperature, 4) -
                          std::pow(section.sides[east].temperature, 4));
    return {{"e", surface_radiation(section, problem, state).sides[east] / black}};
  };
  const Vector3 down = named_orientation("upright").down;
  return measured(solve(the_case, section, down, 0.0), effective).at("e");
}

} // namespace

TEST_CASE("View factors: the formulas of catalogues", "[validation]") {
  compare("view_factors",
          [](const std::string& quantity, const std::string& condition) -> Computed {
            std::vector<double> number; // all in the condition
            std::istringstream words(condition);
            for (std::string word; words >> word;) {
              if (word.find_first_of("0123456789") == 0) {
                number.push_back(std::stod(word));
              }
            }
            if (quantity == "F opposed strips") {
              return view_factors(box(number.at(0))).at(0, 2);
            }
            if (quantity == "F perpendicular strips") {
              return view_factors(box(number.at(0))).at(0, 1);
            }
            if (quantity == "F strips at an angle") {
              return at_an_angle(number.at(0));
            }
            if (quantity == "F in a triangle") {
              return in_triangle(number.at(0), number.at(1), number.at(2));
            }
            if (quantity == "effective emissivity of plates") {
              return of_plates(number.at(0));
            }
            const double e = number.at(0);
            const double aspect = number.at(1);
            return quantity == "slot" ? slot_emissivity(e, aspect) : slot_emissivity(e, aspect, 0);
          });
}
