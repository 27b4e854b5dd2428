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
       false,
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
  chart.series.push_back({"upright", 0, false, false, {{1.0, 2.0, 2.0, 2.0}}, {}});
  CHECK(chart_svg(chart).find("a guess") == std::string::npos);
  chart.series.front().points.front().is_doubtful = true;
  CHECK_THAT(chart_svg(chart), ContainsSubstring(">hollow: a guess<"));
}

TEST_CASE("Chart: nothing to show is an empty chart", "[chart]") {
  CHECK_THAT(chart_svg(Chart{}), ContainsSubstring("</svg>"));
}

} // namespace tiltfin::tests
