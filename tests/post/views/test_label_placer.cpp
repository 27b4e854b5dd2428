#include "post/views/label_placer.hpp"
#include "tests/catch.hpp"

#include <cmath>
#include <random>

namespace tiltfin::tests {
namespace {

const PageBox page{0.0, 0.0, 400.0, 300.0};

double middle_x(const PlacedLabel& label) {
  return 0.5 * (label.box.left + label.box.right);
}

double length_of(const PlacedLabel& label) {
  return std::hypot(label.leader->b.x - label.leader->a.x, label.leader->b.y - label.leader->a.y);
}

} // namespace

TEST_CASE("Label placer: segments and boxes cross where they share a point", "[label_placer]") {
  const PageBox box{10.0, 10.0, 20.0, 20.0};
  CHECK(crosses({{0.0, 0.0}, {30.0, 30.0}}, box));
  CHECK(crosses({{15.0, 15.0}, {16.0, 15.0}}, box)); // inside
  CHECK(crosses({{15.0, 0.0}, {15.0, 30.0}}, box));
  CHECK_FALSE(crosses({{0.0, 0.0}, {9.0, 9.0}}, box));
  CHECK_FALSE(crosses({{0.0, 25.0}, {30.0, 25.0}}, box));
  CHECK_FALSE(crosses({{0.0, 15.0}, {15.0, 0.0}}, box)); // past a corner
  CHECK(crosses(PageSegment{{0.0, 0.0}, {2.0, 2.0}}, PageSegment{{0.0, 2.0}, {2.0, 0.0}}));
  CHECK_FALSE(crosses(PageSegment{{0.0, 0.0}, {1.0, 1.0}}, PageSegment{{0.0, 4.0}, {4.0, 0.0}}));
  CHECK(crosses(PageSegment{{0.0, 0.0}, {2.0, 0.0}}, PageSegment{{1.0, 0.0}, {3.0, 0.0}}));
  CHECK_FALSE(crosses(PageSegment{{0.0, 0.0}, {1.0, 0.0}}, PageSegment{{2.0, 0.0}, {3.0, 0.0}}));
}

TEST_CASE("Label placer: crowded labels keep apart, with their leaders, and on the page",
          "[label_placer]") {
  std::mt19937 random(7);
  std::uniform_real_distribution<double> x(20.0, 380.0);
  std::uniform_real_distribution<double> y(20.0, 280.0);
  LabelPlacer placer(page, 2.0);
  const PageBox clear{150.0, 100.0, 250.0, 130.0};
  placer.keep_clear(clear);
  std::vector<PlacedLabel> placed;
  for (int k = 0; k < 40; ++k) {
    if (const auto label =
            placer.place({.width = 60.0, .height = 16.0, .targets = {{x(random), y(random)}}})) {
      placed.push_back(*label);
    }
  }
  REQUIRE(placed.size() >= 20); // a quarter of the page is labels then: what surely has room
  for (std::size_t a = 0; a < placed.size(); ++a) {
    const PageBox& box = placed[a].box;
    CHECK(box.left >= 0.0);
    CHECK(box.right <= 400.0);
    CHECK(box.top >= 0.0);
    CHECK(box.bottom <= 300.0);
    CHECK_FALSE(box.overlaps(clear));
    REQUIRE(placed[a].leader);
    CHECK_FALSE(crosses(*placed[a].leader, clear));
    for (std::size_t b = 0; b < a; ++b) {
      CHECK_FALSE(box.overlaps(placed[b].box));
      CHECK_FALSE(crosses(*placed[a].leader, placed[b].box));
      CHECK_FALSE(crosses(*placed[b].leader, box));
      CHECK_FALSE(crosses(*placed[a].leader, *placed[b].leader));
    }
  }
}

TEST_CASE("Label placer: it stays off what is to be avoided while that costs little way",
          "[label_placer]") {
  const LabelWish wish{.width = 40.0, .height = 14.0, .targets = {{200.0, 150.0}}};
  LabelPlacer free(page);
  const auto near = free.place(wish);
  LabelPlacer other(page);
  other.avoid({200.0, 0.0, 400.0, 300.0}, 100.0);
  const auto left = other.place(wish);
  REQUIRE(near);
  REQUIRE(left);
  CHECK(middle_x(*left) < 185.0); // wholly in the left half, its leader shorter than the cost
  LabelPlacer mild(page);
  mild.avoid({0.0, 0.0, 400.0, 300.0}, 100.0); // everywhere: then it makes no difference
  const auto anywhere = mild.place(wish);
  REQUIRE(anywhere);
  CHECK_THAT(length_of(*anywhere), WithinAbs(length_of(*near), 1e-9));
}

TEST_CASE("Label placer: on its target where it may be, beside the nearer of two, or nowhere",
          "[label_placer]") {
  LabelPlacer placer(page);
  const LabelWish on{
      .width = 40.0, .height = 14.0, .targets = {{50.0, 50.0}}, .may_be_on_it = true};
  const auto first = placer.place(on);
  REQUIRE(first);
  CHECK_FALSE(first->leader);
  CHECK(middle_x(*first) == 50.0);
  placer.keep_clear({60.0, 0.0, 400.0, 300.0});
  const auto second =
      placer.place({.width = 40.0, .height = 14.0, .targets = {{300.0, 200.0}, {30.0, 200.0}}});
  REQUIRE(second);
  CHECK(second->box.right < 60.0);
  CHECK_FALSE(placer.place({.width = 70.0, .height = 14.0, .targets = {{30.0, 100.0}}}));
}

} // namespace tiltfin::tests
