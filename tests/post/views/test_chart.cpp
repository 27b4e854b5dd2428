#include "post/views/chart.hpp"
#include "tests/catch.hpp"
#include "tests/post/views/count.hpp"

#include <cmath>
#include <limits>

namespace tiltfin::tests {
TEST_CASE("Chart: a marker per finite point, a bar where there is one, a curve with its band",
          "[chart]") {
  constexpr double inf = std::numeric_limits<double>::infinity();
  Chart chart;
  chart.title = "rise < limit";
  chart.level = 75.0;
  chart.level_label = "limit";
  chart.series.push_back(
      {"upright",
       0,
       Marker::disc,
       false,
       {{10.0, 20.0, 18.0, 22.0}, {20.0, 30.0, 30.0, 30.0}, {30.0, std::nan(""), 0.0, 0.0}},
       {{10.0, 20.0, 19.0, 21.0}, {20.0, 30.0, -inf, inf}}});
  const std::string svg = chart_svg(chart);
  CHECK(count(svg, "<circle") == 2 + 1); // and one in the legend
  CHECK(count(svg, "<path") == 2);
  CHECK_THAT(svg, ContainsSubstring("rise &lt; limit"));
  CHECK_THAT(svg, ContainsSubstring(">limit<"));
  CHECK(svg.find("nan") == std::string::npos);
  CHECK(svg.find("inf") == std::string::npos);
}

TEST_CASE("Chart: hollow markers are explained where there are any", "[chart]") {
  Chart chart;
  chart.hollow_label = "a guess";
  chart.series.push_back({"upright", 0, Marker::disc, false, {{1.0, 2.0, 2.0, 2.0}}, {}});
  CHECK(chart_svg(chart).find("a guess") == std::string::npos);
  chart.series.front().points.front().is_doubtful = true;
  CHECK_THAT(chart_svg(chart), ContainsSubstring(">hollow: a guess<"));
}

TEST_CASE("Chart: a frame lies behind the marker that it goes with", "[chart]") {
  Chart chart;
  chart.hollow_label = "a guess";
  chart.series.push_back({"measured", 0, Marker::disc, false, {{1.0, 2.0, 2.0, 2.0}}, {}});
  chart.series.push_back({"computed", 0, Marker::frame, false, {{1.0, 2.0, 2.0, 2.0, true}}, {}});
  const std::string svg = chart_svg(chart);
  const std::size_t frame = svg.find("class=\"frame\"");
  REQUIRE(frame != std::string::npos);
  CHECK(frame < svg.find("<circle"));
  CHECK_THAT(svg, ContainsSubstring("fill=\"none\" stroke=\"#0070b0\" stroke-width=\"1.6\" "
                                    "stroke-dasharray=\"2 2\""));
  CHECK_THAT(svg, ContainsSubstring(">dotted frame: a guess<"));
}

TEST_CASE("Chart: a curve is dashed beyond what it rests on", "[chart]") {
  Chart chart;
  ChartSeries series;
  for (const double x : {1.0, 2.0, 3.0, 4.0}) {
    series.curve.push_back({x, x, x, x});
  }
  series.solid_to = 2.0;
  chart.series.push_back(series);
  const std::string svg = chart_svg(chart);
  CHECK(count(svg, "<path") == 3); // band, solid and dashed
  CHECK(count(svg, "stroke-dasharray=\"7 4\"") == 1);
}

TEST_CASE("Chart: twenty-eight looks differ", "[chart]") {
  for (int a = 0; a < 28; ++a) {
    for (int b = 0; b < a; ++b) {
      const SeriesLook one = series_look(a);
      const SeriesLook other = series_look(b);
      CHECK((one.colour != other.colour || one.marker != other.marker));
    }
  }
  Chart chart;
  for (const Marker marker : {Marker::disc, Marker::square, Marker::diamond, Marker::triangle}) {
    chart.series.push_back({"", 0, marker, false, {{1.0, 2.0, 2.0, 2.0}}, {}});
  }
  const std::string svg = chart_svg(chart);
  CHECK(count(svg, "<circle") == 1);
  CHECK(count(svg, "class=\"marker\"") == 2);
}

TEST_CASE("Chart: nothing to show is an empty chart", "[chart]") {
  CHECK_THAT(chart_svg(Chart{}), ContainsSubstring("</svg>"));
}

} // namespace tiltfin::tests
