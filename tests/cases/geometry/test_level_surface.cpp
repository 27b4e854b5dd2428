// A level surface beside a tilted case: places worked out by hand, and what solved flows say of its
// steps.
#include "cases/file/case.hpp"
#include "cases/geometry/level_surface.hpp"
#include "cases/run/run.hpp"
#include "tests/cases/case_texts.hpp"
#include "tests/catch.hpp"

#include <cmath>
#include <numbers>
#include <sstream>
#include <string>

using namespace tiltfin;
using namespace tiltfin::tests;

namespace {

/// `pattern` with its "{}" filled in turn.
template <typename... Values>
std::string filled(const std::string& pattern, const Values&... values) {
  std::ostringstream text;
  text.precision(9);
  std::size_t begin = 0;
  const auto add = [&](const auto& value) {
    const std::size_t place = pattern.find("{}", begin);
    text << pattern.substr(begin, place - begin) << value;
    begin = place + 2;
  };
  (add(values), ...);
  text << pattern.substr(begin);
  return text.str();
}

std::string desk_case(const std::string& at, const std::string& orientations) {
  return edited(edited(mirror_text, "below", at), R"(["upright", "upside-down"])", orientations);
}

std::vector<Solid> steps_of(const Section& section, const std::string& name) {
  std::vector<Solid> steps;
  for (const Solid& solid : section.solids) {
    if (solid.name.starts_with(name + "-")) {
      steps.push_back(solid);
    }
  }
  return steps;
}

/// Four sides, open but for one.
std::string open_sides(const std::string& but = "") {
  std::string text;
  for (const std::string side : {"west", "east", "south", "north"}) {
    text += side == but ? filled("[sides.{}]\nkind = \"insulated\"\nemissivity = 0.9\n", side)
                        : filled("[sides.{}]\nkind = \"open\"\noutside_c = 25\n", side);
  }
  return text;
}

constexpr double box = 40.0;        // side of the box below [mm]
constexpr double room_side = 240.0; // of the section round it [mm]
const std::string box_mesh = "[mesh]\ngrowth = 1.3\nwall_cell_mm = 3\n";

/// A warm box in a room, tilted by 45 degrees.
std::string tilted_box() {
  const double low = 0.5 * (room_side - box);
  const std::string range = filled("[{}, {}]", low, low + box);
  return filled("[conditions]\npowers_w = [2]\norientations = [45]\n[section]\nwidth_mm = {}\n"
                "height_mm = {}\ndepth_mm = 100\nbase = \"box\"\nmachine_x_mm = {}\n"
                "machine_y_mm = {}\n",
                room_side, room_side, range, range) +
         open_sides() +
         filled("[[solid]]\nname = \"box\"\nx_mm = {}\ny_mm = {}\n"
                "conductivity_w_per_mk = 200\nheat_share = 1\nrole = \"base\"\n"
                "emissivity = 0.9\n",
                range, range) +
         box_mesh;
}

/// The same box standing on its corner, as bars, over a level side `distance` below it [mm].
std::string box_on_its_corner(double distance) {
  constexpr int bars = 16;
  const double half = box / std::numbers::sqrt2;
  const double bar = 2.0 * half / bars;
  const double middle_x = 0.5 * room_side;
  const double middle_y = distance + half;
  std::string text = filled(
      "[conditions]\npowers_w = [2]\norientations = [\"upright\"]\n[section]\nwidth_mm = {}\n"
      "height_mm = {}\ndepth_mm = 100\nbase = \"bar-8\"\nmachine_x_mm = [{}, {}]\n"
      "machine_y_mm = [{}, {}]\n",
      room_side, middle_y + half + 100.0, middle_x - half, middle_x + half, middle_y - half,
      middle_y + half);
  text += open_sides("south");
  for (int k = 0; k < bars; ++k) {
    const double low = middle_y - half + k * bar;
    const double reach = half - std::abs(low + 0.5 * bar - middle_y);
    text += filled("[[solid]]\nname = \"bar-{}\"\nx_mm = [{}, {}]\n"
                   "y_mm = [{}, {}]\nconductivity_w_per_mk = 200\n"
                   "heat_share = {}\nrole = \"{}\"\nemissivity = 0.9\n",
                   k + 1, middle_x - reach, middle_x + reach, low, low + bar, 1.0 / bars,
                   k == 7 ? "base" : "other");
  }
  return text + box_mesh;
}

/// Rise of the one condition of a case, its steady flow [K].
double rise_of(const Case& the_case) {
  RunOptions options;
  options.examine_stability = false;
  const std::vector<Outcome> outcomes = run_case(the_case, options, {}).outcomes;
  REQUIRE(outcomes.size() == 1);
  REQUIRE(outcomes.front().status == SolveStatus::converged);
  return outcomes.front().base_rise_mean_k.value;
}

} // namespace

TEST_CASE(
    "Level surface: the middle of every step is on it, as far from the lowest corner as asked",
    "[level_surface]") {
  for (const double tilt : {10.0, 30.0, 45.0, 60.0, 135.0, -20.0, -80.0}) {
    CAPTURE(tilt);
    const Case the_case = parse_case(desk_case("below", filled("[{}]", tilt)), "t.toml");
    const Section& section = the_case.panels.front().sections.front();
    CHECK_NOTHROW(check(section));
    const std::vector<Solid> steps = steps_of(section, "below");
    REQUIRE(steps.size() > 2);
    const double angle = tilt * std::numbers::pi / 180.0;
    const double down_x = -std::sin(angle); // 90 degrees: cooler on top, x up
    const double down_y = -std::cos(angle);
    const Rectangle& machine = *section.machine;
    const double level = down_x * (down_x < 0.0 ? machine.x0 : machine.x1) +
                         down_y * (down_y < 0.0 ? machine.y0 : machine.y1) + 0.006;
    const bool is_turned = std::abs(down_x) > std::abs(down_y);
    double lowest = 1.0; // of what is left between the machine and the steps
    for (const Solid& step : steps) {
      const Rectangle& r = step.extent;
      const double x = is_turned ? (down_x < 0.0 ? r.x1 : r.x0) : 0.5 * (r.x0 + r.x1);
      const double y = is_turned ? 0.5 * (r.y0 + r.y1) : (down_y < 0.0 ? r.y1 : r.y0);
      const bool is_cut =
          x < 1e-9 || y < 1e-9 || x > section.width - 1e-9 || y > section.height - 1e-9;
      if (!is_cut) { // up to a third of a step to a line that is drawn
        CHECK_THAT(down_x * x + down_y * y, WithinAbs(level, 0.34 * step_length(section)));
      }
      const bool is_apart =
          r.x1 <= machine.x0 || r.x0 >= machine.x1 || r.y1 <= machine.y0 || r.y0 >= machine.y1;
      CHECK(is_apart);
      lowest = std::min(lowest, down_x * x + down_y * y - level + 0.006);
      CHECK(step.emissivity == 0.9);
    }
    CHECK(lowest > 0.0);
  }
}

TEST_CASE("Level surface: above is below, upside down", "[level_surface]") {
  const Case above = parse_case(desk_case("above", "[30]"), "t.toml");
  const Case below = parse_case(desk_case("below", "[210]"), "t.toml");
  const std::vector<Solid> one = steps_of(above.panels.front().sections.front(), "above");
  const std::vector<Solid> other = steps_of(below.panels.front().sections.front(), "below");
  REQUIRE(one.size() == other.size());
  for (std::size_t k = 0; k < one.size(); ++k) {
    CHECK_THAT(one[k].extent.x0, WithinAbs(other[k].extent.x0, 1e-9));
    CHECK_THAT(one[k].extent.y1, WithinAbs(other[k].extent.y1, 1e-9));
  }
}

TEST_CASE("Level surface: a little tilt changes little of what the level side of a section does",
          "[level_surface][slow]") {
  // By 2 degrees gravity and the desk turn by 0.035; the desk's distance under the case's 42 mm
  // changes by 0.7 mm in the mean and a step by as much, of 6 mm, and the desk's whole effect is
  // some per cent of the rise (1.5 of 36 K at 15 mm): below 1 %. The meshes' errors are as large
  // each.
  for (const auto& [quarter, tilt] :
       {std::pair{"[\"upright\"]", "[2]"}, std::pair{"[\"flat-up\"]", "[88]"}}) {
    CAPTURE(tilt);
    const double level = rise_of(parse_case(desk_case("below", quarter), "t.toml"));
    const double tilted = rise_of(parse_case(desk_case("below", tilt), "t.toml"));
    CHECK_THAT(tilted, WithinRel(level, 0.03));
  }
}

TEST_CASE(
    "Level surface: steps under a box tilted by 45 degrees do what a level side does under the "
    "same box on its corner",
    "[level_surface][slow]") {
  constexpr double distance = 20.0; // [mm]
  Case tilted = parse_case(tilted_box(), "t.toml");
  const double in_the_open = rise_of(tilted);
  Enclosure enclosure;
  enclosure.level.push_back({.name = "below",
                             .towards_x = -1.0 / std::numbers::sqrt2,
                             .towards_y = -1.0 / std::numbers::sqrt2,
                             .distance = 0.001 * distance,
                             .emissivity = 0.9});
  add_level_surfaces(enclosure, tilted.panels.front().sections.front());
  const double over_steps = rise_of(tilted);
  const double over_level = rise_of(parse_case(box_on_its_corner(distance), "t.toml"));
  CHECK(over_steps > in_the_open); // the desk is in the way of air and radiation
  // Either is drawn with steps, the box of bars too, in rooms that end elsewhere; both meshes'
  // errors are 1.5 %, and surfaces in steps are longer by 1.4.
  CHECK_THAT(over_steps, WithinRel(over_level, 0.06));
}
