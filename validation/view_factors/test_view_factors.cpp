#include "solver/ring_factors.hpp"
#include "solver/slot.hpp"
#include "solver/view_factors.hpp"

#include <algorithm>
#include <array>
#include <numbers>
#include <optional>

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

/// Coaxial rings in groups of eight.
class Rings {
public:
  void add(const Strip& whole) {
    for (int k = 0; k < 8; ++k) {
      const auto part = [k](double from, double to) {
        return std::array{from == to ? from : from + (to - from) * k / 8.0,
                          from == to ? to : from + (to - from) * (k + 1) / 8.0};
      };
      const auto x = part(whole.x0, whole.x1);
      const auto y = part(whole.y0, whole.y1);
      strips_.push_back({x[0], y[0], x[1], y[1]});
    }
  }

  /// From one group to another.
  [[nodiscard]] double factor(int from, int to) const {
    const ViewFactors factors = ring_view_factors(strips_);
    double exchange = 0.0;
    double area = 0.0;
    for (int i = 8 * from; i < 8 * from + 8; ++i) {
      area += ring_area(strips_[static_cast<std::size_t>(i)]);
      for (int j = 8 * to; j < 8 * to + 8; ++j) {
        exchange += factors.at(i, j);
      }
    }
    return exchange / area;
  }

private:
  std::vector<Strip> strips_;
};

/// From one disc of radius 1 to another one; where that is smaller or larger an annulus completes
/// the ends of a drum.
double between_discs(double distance, double other) {
  const double wide = std::max(1.0, other);
  Rings rings;
  rings.add({0.0, 1.0, 0.0, 0.0});
  rings.add({distance, 0.0, distance, other});
  rings.add({distance, wide, 0.0, wide});
  if (wide > 1.0) {
    rings.add({0.0, wide, 0.0, 1.0});
  }
  if (wide > other) {
    rings.add({distance, other, distance, wide});
  }
  return rings.factor(0, 1);
}

/// From the outer of two concentric cylinders, the inner one of radius 1, to it or to itself.
double from_outer_cylinder(double length, double outer, bool to_itself) {
  Rings rings;
  rings.add({length, outer, 0.0, outer});
  rings.add({0.0, 1.0, length, 1.0});
  rings.add({0.0, outer, 0.0, 1.0});
  rings.add({length, 1.0, length, outer});
  return rings.factor(0, to_itself ? 0 : 1);
}

double inside_cylinder(double length) {
  Rings rings;
  rings.add({length, 1.0, 0.0, 1.0});
  rings.add({0.0, 1.0, 0.0, 0.0});
  rings.add({length, 0.0, length, 1.0});
  return rings.factor(0, 0);
}

/// Of one of the formulas for rings.
std::optional<double> between_rings(const std::string& quantity,
                                    const std::vector<double>& number) {
  if (quantity == "F coaxial discs") {
    return between_discs(number.at(0), number.at(1));
  }
  if (quantity == "F inside of a cylinder to itself") {
    return inside_cylinder(number.at(0));
  }
  if (quantity == "F outer to inner cylinder" || quantity == "F outer cylinder to itself") {
    return from_outer_cylinder(number.at(0), number.at(1), quantity.ends_with("itself"));
  }
  return std::nullopt;
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
            if (const auto of_rings = between_rings(quantity, number)) {
              return *of_rings;
            }
            if (quantity == "effective emissivity of plates") {
              return of_plates(number.at(0));
            }
            const double e = number.at(0);
            const double aspect = number.at(1);
            return quantity == "slot" ? slot_emissivity(e, aspect) : slot_emissivity(e, aspect, 0);
          });
}
