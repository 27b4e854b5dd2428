#include "post/views/picture.hpp"
#include "post/views/sheet.hpp"
#include "post/views/sheet_labels.hpp"
#include "tests/post/fixtures.hpp"
#include "tests/post/views/count.hpp"

#include <cmath>
#include <deque>

namespace tiltfin::tests {
namespace {

Outcome outcome_at(const std::string& panel, const std::string& orientation) {
  Outcome outcome;
  outcome.panel = panel;
  outcome.orientation = orientation;
  outcome.power_w = 10.0;
  outcome.status = SolveStatus::time_average;
  outcome.mean_over_s = 30.0;
  outcome.base_rise_mean_k = {40.0, 0.5};
  outcome.feeding = Feeding::fed;
  outcome.air_into_fins_c.value = 27.25;
  outcome.through_flow_g_per_s.value = 0.5;
  outcome.gaps.resize(2);
  outcome.gaps[0].in_flow_g_per_s.value = 0.123;
  outcome.gaps[1].in_flow_g_per_s.value = 0.2;
  return outcome;
}

/// Air that comes up through the small cooler.
SeenFlow rising(double gravity_x, double gravity_y) {
  SeenFlow flow = seen_flow(small_solution(gravity_x, gravity_y));
  for (int j = 0; j <= flow.mesh.y.n(); ++j) {
    for (int i = 0; i <= flow.mesh.x.n(); ++i) {
      flow.state.psi[index(flow.mesh.node(i, j))] = -1e-3 * flow.mesh.x.at(i);
    }
  }
  return flow;
}

/// Pictures that keep what they point to.
struct Pictures {
  Section section = small_cooler();
  std::deque<SeenFlow> flows{};
  std::deque<Outcome> outcomes{};
  std::vector<SheetPicture> all{};

  void add(const std::string& panel, const std::string& orientation, double gravity_x,
           double gravity_y) {
    flows.push_back(rising(gravity_x, gravity_y));
    outcomes.push_back(outcome_at(panel, orientation));
    all.push_back({&section, &flows.back(), &outcomes.back(), "limit 20 W"});
  }
  [[nodiscard]] std::string svg() const {
    PictureScale scale;
    for (const SeenFlow& flow : flows) {
      scale = common_scale(scale, picture_scale(section, flow));
    }
    return svg_file(sheet({"A & B", "first · second"}, all, scale));
  }
};

} // namespace

TEST_CASE("Sheet: every picture has its heading, one scale and one gravity serve all", "[sheet]") {
  Pictures pictures;
  pictures.add("on", "upright", 0.0, -9.8);
  pictures.add("on", "flat-up", -9.8, 0.0);
  pictures.add("off", "upright", 0.0, -9.8);
  const std::string svg = pictures.svg();
  CHECK(count(svg, "<image ") == 3);
  CHECK(count(svg, "class=\"colour-bar\"") == 1);
  CHECK(count(svg, "class=\"gravity\"") == 1);
  CHECK(count(svg, "class=\"scale-bar\"") == 1);
  CHECK(count(svg, "between neighbouring lines") == 1);
  for (const char* part : {"A &amp; B", "on · upright", "on · flat-up", "off · upright",
                           "off · flat-up", "no result at this power",
                           "base 40.0 ±0.5 K above the room · mean over 30 s", "limit 20 W"}) {
    CHECK_THAT(svg, ContainsSubstring(part));
  }
}

TEST_CASE("Sheet: many orientations are wrapped, six to a row", "[sheet]") {
  Pictures pictures;
  for (int k = 0; k < 13; ++k) {
    const double angle = k * std::acos(-1.0) / 12.0;
    pictures.add("on", "tilt-" + std::to_string(15 * k), -9.8 * std::sin(angle),
                 -9.8 * std::cos(angle));
  }
  PictureScale scale;
  for (const SeenFlow& flow : pictures.flows) {
    scale = common_scale(scale, picture_scale(pictures.section, flow));
  }
  const Drawing drawing = sheet({"tilts", ""}, pictures.all, scale);
  CHECK(count(drawing.body, "<image ") == 13);
  // Three rows of pictures that are no wider than a sixth of the page, and not five.
  CHECK(drawing.width < 1600.0);
  CHECK(drawing.height > 2.0 * drawing.width / 6.0);
  CHECK(drawing.height < 5.0 * drawing.width / 6.0);
}

TEST_CASE("Sheet labels: parts, gaps, feeding air and sides are named, none over another",
          "[sheet]") {
  Section section = small_cooler();
  section.sides[south] = {SideKind::isothermal, 293.15, 0.0};
  section.sides[north].kind = SideKind::symmetry;
  for (const auto& [gravity_x, gravity_y] :
       {std::pair{0.0, -9.8}, std::pair{-9.8, 0.0}, std::pair{-5.0, -8.0}}) {
    const SeenFlow flow = rising(gravity_x, gravity_y);
    const Rectangle seen{0.0, section.width, 0.0, section.height};
    PageView view = fit_view(seen, turn_to_room(gravity_x, gravity_y), 420.0, 420.0);
    view.middle = {300.0, 300.0};
    const SheetLabels labels = sheet_labels(section, flow, outcome_at("on", "some"), seen, view);
    CHECK(labels.left_out.empty());
    // small_solution: 298.15 + 40 K in the base, 300 K + 100 K/m of x in the fins.
    for (const char* part :
         {">base 65 °C<", ">fin-1 30 °C<", ">fin-2 33 °C<", ">0.12<", ">0.20<",
          ">feeding air 27.2 °C<", ">0.50 g/s through the fins<", ">wall, 20 °C<", ">symmetry<"}) {
      CHECK_THAT(labels.svg, ContainsSubstring(part));
    }
    for (std::size_t a = 0; a < labels.boxes.size(); ++a) {
      for (std::size_t b = 0; b < a; ++b) {
        CHECK_FALSE(labels.boxes[a].overlaps(labels.boxes[b]));
      }
    }
  }
}

TEST_CASE("Sheet labels: a stagnant cooler, narrow gaps and a room's desk are said as such",
          "[sheet]") {
  Section section = small_cooler();
  section.sides[south] = {SideKind::insulated, 298.15, 0.0};
  section.machine = Rectangle{0.005, 0.07, 0.005, 0.055};
  Outcome outcome = outcome_at("on", "upright");
  outcome.feeding = Feeding::stagnant;
  outcome.through_flow_g_per_s.value = 0.0321;
  const Rectangle seen{0.0, section.width, 0.0, section.height};
  PageView view = fit_view(seen, {}, 560.0, 420.0);
  view.middle = {300.0, 300.0};
  const std::string large = sheet_labels(section, rising(0.0, -9.8), outcome, seen, view).svg;
  CHECK_THAT(large, ContainsSubstring(">not fed: stagnant air<"));
  CHECK_THAT(large, ContainsSubstring(">0.032 g/s of fresh air<"));
  CHECK_THAT(large, ContainsSubstring(">surface below, insulated<"));
  // So small that no number fits into a gap of 10 mm.
  view = fit_view(seen, {}, 70.0, 70.0);
  view.middle = {300.0, 300.0};
  const SheetLabels small = sheet_labels(section, rising(0.0, -9.8), outcome, seen, view);
  CHECK_THAT(small.svg, !ContainsSubstring(">0.12<"));
  CHECK_FALSE(small.left_out.empty()); // and said to be
}

} // namespace tiltfin::tests
