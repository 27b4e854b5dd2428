#include "post/views/polar_chart.hpp"
#include "tests/catch.hpp"
#include "tests/post/views/count.hpp"

#include <cmath>
#include <regex>

namespace tiltfin::tests {
namespace {

struct Circle {
  double x = 0.0;
  double y = 0.0;
};

/// Middles of the markers of points.
std::vector<Circle> markers(const std::string& svg) {
  const std::regex marker(R"re(<circle cx="([0-9.]+)" cy="([0-9.]+)" r="2\.6")re");
  std::vector<Circle> found;
  for (std::sregex_iterator k(svg.begin(), svg.end(), marker), end; k != end; ++k) {
    found.push_back({std::stod((*k)[1]), std::stod((*k)[2])});
  }
  return found;
}

PolarSeries round_series(const std::vector<double>& values) {
  PolarSeries series;
  series.label = "ring";
  series.is_closed = true;
  for (std::size_t k = 0; k < values.size(); ++k) {
    const double angle = 360.0 * static_cast<double>(k) / static_cast<double>(values.size());
    series.points.push_back({angle, values[k], values[k], values[k]});
  }
  return series;
}

} // namespace

TEST_CASE(
    "Polar chart: 0 is up, angles go counter-clockwise, distance from the middle is the value",
    "[polar]") {
  PolarChart chart;
  chart.series.push_back(round_series({10.0, 10.0, 5.0, 10.0}));
  const std::vector<Circle> places = markers(polar_drawing(chart).body);
  REQUIRE(places.size() == 4);
  const double middle_x = places[0].x;
  const double middle_y = places[1].y;
  constexpr double pixel = 0.11; // places are written to a tenth
  CHECK(places[0].y < middle_y);
  CHECK(places[1].x < middle_x);
  CHECK_THAT(places[3].x - middle_x, WithinAbs(middle_x - places[1].x, pixel));
  CHECK_THAT(places[2].y - middle_y, WithinAbs(0.5 * (middle_y - places[0].y), pixel));
}

TEST_CASE("Polar chart: a point without a value breaks the curve, a turn joins it over its end",
          "[polar]") {
  const auto curves = [](const PolarSeries& series) {
    PolarChart chart;
    chart.series.push_back(series);
    return count(polar_drawing(chart).body, "fill-opacity=\"0.14\"");
  };
  CHECK(curves(round_series({1.0, 2.0, 3.0, 2.0})) == 1);
  CHECK(curves(round_series({1.0, 2.0, std::nan(""), 2.0})) == 1); // from 270 over 0 to 90
  CHECK(curves(round_series({1.0, std::nan(""), 3.0, std::nan("")})) == 2);
  PolarSeries open = round_series({1.0, 2.0, std::nan(""), 2.0});
  open.is_closed = false;
  CHECK(curves(open) == 2);
  CHECK(curves(round_series({std::nan(""), std::nan("")})) == 0);
}

TEST_CASE("Polar chart: names stand round it, each with its angle, and replace the ray's own",
          "[polar]") {
  PolarChart chart;
  chart.unit = "W";
  chart.names = {{0.0, "upright"}, {-90.0, "flat & down"}};
  chart.notes = {"a < b"};
  chart.series.push_back(round_series({10.0, 10.0, 5.0, 10.0}));
  const std::string body = polar_drawing(chart).body;
  CHECK_THAT(body, ContainsSubstring(">upright 0°<"));
  CHECK_THAT(body, ContainsSubstring(">flat &amp; down<") && ContainsSubstring(">270°<"));
  CHECK_THAT(body, ContainsSubstring(">a &lt; b<") && ContainsSubstring(">10 W<"));
  CHECK_THAT(body, ContainsSubstring(">180°<"));
  CHECK(count(body, ">0°<") == 0);
  CHECK(count(body, "rotate(90)") == 1); // the machine hangs: a quarter clockwise
}

} // namespace tiltfin::tests
