#include "post/views/page.hpp"
#include "post/views/svg.hpp"
#include "tests/catch.hpp"

#include <cmath>

namespace tiltfin::tests {

TEST_CASE("Svg: reserved characters are replaced", "[svg]") {
  CHECK(xml_escaped("a<b> & \"c\"\n°") == "a&lt;b&gt; &amp; &quot;c&quot;°");
}

TEST_CASE("Svg: ticks are round and within the range", "[svg]") {
  CHECK(round_ticks(18.3, 61.0, 8) == std::vector<double>{20, 25, 30, 35, 40, 45, 50, 55, 60});
  CHECK(round_ticks(-3.0, 3.0, 3) == std::vector<double>{-2, 0, 2});
  CHECK(round_ticks(0.0, 1000.0, 5).size() == 6);
  CHECK(round_ticks(5.0, 5.0, 5).empty());
}

TEST_CASE("Svg: a round length does not exceed the wanted one", "[svg]") {
  CHECK_THAT(round_below(34.0), WithinRel(20.0, 1e-12));
  CHECK_THAT(round_below(50.0), WithinRel(50.0, 1e-12));
  CHECK_THAT(round_below(0.0019), WithinRel(0.001, 1e-12));
}

TEST_CASE("Page: gravity of any direction points down", "[page]") {
  for (int k = 0; k < 24; ++k) {
    const double angle = k * std::acos(-1.0) / 12.0;
    const double gx = 9.8 * std::cos(angle);
    const double gy = 9.8 * std::sin(angle);
    PageView view;
    view.turn = turn_to_room(gx, gy);
    const PagePoint tip = to_page(view, gx, gy);
    CHECK_THAT(tip.x, WithinAbs(0.0, 1e-12)); // rounding of numbers near ten
    CHECK_THAT(tip.y, WithinRel(9.8, 1e-12));
  }
  const Turn none = turn_to_room(0.0, 0.0);
  CHECK(none.cosine == 1.0);
  CHECK(none.sine == 0.0);
}

TEST_CASE("Page: a view fits its box", "[page]") {
  const Rectangle seen{0.1, 0.3, 0.0, 0.1};
  const PageView upright = fit_view(seen, {}, 400.0, 400.0);
  CHECK_THAT(upright.scale, WithinRel(2000.0, 1e-12));
  const PageView flat = fit_view(seen, turn_to_room(-1.0, 0.0), 400.0, 300.0);
  CHECK_THAT(flat.scale, WithinRel(1500.0, 1e-12));
  CHECK_THAT(size_on_page(flat, seen).y, WithinRel(300.0, 1e-12));
}

} // namespace tiltfin::tests
