#include "cases/run/tilts.hpp"
#include "tests/cases/tiny_case.hpp"
#include "tests/catch.hpp"

#include <atomic>
#include <map>

using namespace tiltfin;
using namespace tiltfin::tests;

namespace {

namespace fs = std::filesystem;

/// A block in the middle of a square box whose walls are alike: as it is after every quarter turn,
/// and in the mirror.
Case even_case(const std::string& powers) {
  std::string text = "title = \"block in the middle\"\n[conditions]\npowers_w = " + powers + R"(
[section]
width_mm = 24
height_mm = 24
depth_mm = 100
base = "block"
)";
  for (const char* side : {"west", "east", "south", "north"}) {
    text += std::string("[sides.") + side + "]\nkind = \"isothermal\"\ntemperature_c = 25\n";
  }
  return parse_case(text + R"([[solid]]
name = "block"
x_mm = [9, 15]
y_mm = [9, 15]
conductivity_w_per_mk = 10
heat_share = 1
role = "source"
[mesh]
cells_per_gap = 6
)",
                    "even.toml");
}

/// A square of air heated by a plate at its foot and cooled at its top: the classical case of two
/// flows that are each other's mirror, of which a tilt prefers one.
Case heated_from_below(double power_w) {
  return parse_case("title = \"heated from below\"\n[conditions]\npowers_w = [" +
                        std::to_string(power_w) + R"(]
[section]
width_mm = 24
height_mm = 26
depth_mm = 100
base = "plate"
[sides.west]
kind = "insulated"
[sides.east]
kind = "insulated"
[sides.south]
kind = "insulated"
[sides.north]
kind = "isothermal"
temperature_c = 25
[[solid]]
name = "plate"
x_mm = [0, 24]
y_mm = [0, 2]
conductivity_w_per_mk = 200
heat_share = 1
role = "source"
[mesh]
cells_per_gap = 12
)",
                    "below.toml");
}

std::optional<TiltReport> turned(const Case& the_case, const Tilts& tilts,
                                 const RunOptions& options,
                                 const std::function<void(const Progress&)>& progress) {
  Remarks remarks;
  return run_tilts(the_case, tilts, options, progress, remarks);
}

TiltReport sweep(const Case& the_case, const std::string& angles, int jobs = 1) {
  RunOptions options;
  options.jobs = jobs;
  std::optional<TiltReport> report = turned(the_case, tilts_in(angles, "--tilts"), options, {});
  REQUIRE(report);
  return *report;
}

std::map<double, TiltPoint> by_angle(const TiltReport& report) {
  std::map<double, TiltPoint> points;
  for (const TiltPoint& point : report.points) {
    points[point.tilt_deg] = point;
  }
  return points;
}

double rising_rise(const TiltPoint& point) {
  return point.rising.base_rise_mean_k.value;
}

double falling_rise(const TiltPoint& point) {
  return point.falling.base_rise_mean_k.value;
}

RunOptions into(const fs::path& directory, int jobs, bool resume) {
  RunOptions options;
  options.directory = directory;
  options.jobs = jobs;
  options.resume = resume;
  return options;
}

/// What a sweep of the even case leaves for its reader.
std::string results_in(const fs::path& directory) {
  return text_of(directory / "tilts.csv") + text_of(directory / "pictures" / "tilts-as-drawn.svg");
}

const std::string two_powers = "[0.1, 0.2]";

} // namespace

// The equations know left from right and up from down by gravity and section alone, so a section
// that is as it was after a turn or in the mirror has equal rises there. The mesh is as even as the
// section; what is left is the solver's tolerance and that of the film temperature, far below the
// 1e-5 of the rise that is asked for.
TEST_CASE("Tilts: a section that is its own mirror, and that of its quarters, has equal rises",
          "[tilts]") {
  const auto points = by_angle(sweep(even_case("[0.2]"), "-120:30:120"));
  constexpr double even = 1e-5;
  for (const double angle : {30.0, 60.0, 90.0, 120.0}) {
    CAPTURE(angle);
    CHECK_THAT(rising_rise(points.at(angle)), WithinRel(rising_rise(points.at(-angle)), even));
    CHECK_THAT(rising_rise(points.at(angle)),
               WithinRel(rising_rise(points.at(angle - 90.0)), even));
    CHECK_FALSE(points.at(angle).are_two);
  }
  // The angle does matter: not all are alike.
  CHECK(std::abs(rising_rise(points.at(30.0)) / rising_rise(points.at(0.0)) - 1.0) > 10.0 * even);
}

// A roll in a square heated from below turns either way round; tilted, it keeps its sense until
// gravity along the plate has grown enough to turn it. Onset of the roll: Rayleigh number 2585 of
// the temperatures of plate and top (Catton, 1970, from memory); here it is some 1e4, and 1e2 in
// the second case.
TEST_CASE("Tilts: both ways find the two rolls of a square heated from below, and one without",
          "[tilts]") {
  const auto points = by_angle(sweep(heated_from_below(0.3), "-60:15:60"));
  const TiltPoint& level = points.at(0.0);
  CHECK(level.are_two);
  // Mirror images: to the solver's tolerance, as above.
  CHECK_THAT(falling_rise(level), WithinRel(rising_rise(level), 1e-5));
  CHECK_FALSE(points.at(60.0).are_two);
  CHECK_FALSE(points.at(-60.0).are_two);
  for (const double angle : {15.0, 30.0, 45.0}) {
    CAPTURE(angle);
    const TiltPoint& right = points.at(angle);
    const TiltPoint& left = points.at(-angle);
    CHECK(right.are_two == left.are_two);
    CHECK_THAT(falling_rise(right), WithinRel(rising_rise(left), 1e-5));
  }
  for (const auto& [angle, point] : by_angle(sweep(heated_from_below(0.003), "-60:15:60"))) {
    CAPTURE(angle);
    CHECK_FALSE(point.are_two);
  }
}

TEST_CASE("Tilts: a whole turn goes on until it meets itself, the best and worst are refined",
          "[tilts]") {
  const TiltReport report = sweep(heated_from_below(0.3), "0:45:360");
  CHECK(report.is_closed);
  const auto points = by_angle(report);
  CHECK(points.at(0.0).are_two);
  CHECK_FALSE(points.at(180.0).are_two); // heated from above
  const auto is_best = [&](const TiltLimit& a, const TiltLimit& b) {
    return a.lower().power_w.value < b.lower().power_w.value;
  };
  const auto best = std::ranges::max_element(report.limits, is_best);
  const auto worst = std::ranges::min_element(report.limits, is_best);
  CHECK(worst->tilt_deg == 180.0);
  for (const auto& limit : {*best, *worst}) {
    CAPTURE(limit.tilt_deg);
    for (const double side : {-5.0, 5.0}) {
      const double beside = std::fmod(limit.tilt_deg + side + 360.0, 360.0);
      REQUIRE(points.contains(beside));
      CHECK(points.at(beside).is_added == (std::fmod(beside, 45.0) != 0.0));
    }
  }
}

TEST_CASE("Tilts: one and two threads give the same bytes, and so does resuming", "[tilts][slow]") {
  const Scratch scratch("tilts");
  const Case the_case = even_case(two_powers);
  const Tilts tilts = tilts_in("0,90", "--tilts");
  REQUIRE(turned(the_case, tilts, into(scratch / "one", 1, false), {}));
  REQUIRE(turned(the_case, tilts, into(scratch / "two", 2, false), {}));
  const std::string expected = results_in(scratch / "one");
  CHECK_THAT(expected, ContainsSubstring("as-drawn,,90,flat-up,0.2,both"));
  CHECK_THAT(expected, ContainsSubstring("</svg>"));
  CHECK(results_in(scratch / "two") == expected);

  // Stopped in the second sweep; nothing is told of it before it is whole.
  std::atomic<bool> stop = false;
  RunOptions options = into(scratch / "resumed", 1, false);
  options.stop = &stop;
  const auto watch = [&](const Progress& progress) { stop = progress.done >= 5; };
  CHECK_FALSE(turned(the_case, tilts, options, watch));
  CHECK_FALSE(fs::exists(scratch / "resumed/tilts.csv"));
  REQUIRE(turned(the_case, tilts, into(scratch / "resumed", 1, true), {}));
  CHECK(results_in(scratch / "resumed") == expected);

  // A step that is cut short is solved again, the others are not.
  const fs::path step = scratch / "resumed/tilts/as-drawn_tilt-90_0.2w_rising-from-0.json";
  REQUIRE(fs::exists(step));
  put(step, text_of(step).substr(0, 100));
  int solved = 0;
  const auto count = [&](const Progress& progress) { solved += progress.step > 0 ? 1 : 0; };
  REQUIRE(turned(the_case, tilts, into(scratch / "resumed", 1, true), count));
  CHECK(results_in(scratch / "resumed") == expected);
  CHECK(solved > 0);
  CHECK(solved < 40); // Newton steps of one condition

  // So is one with another digit, and one whose state is not as it was written; both are named.
  const fs::path other = scratch / "resumed/tilts/as-drawn_tilt-0_0.2w_falling-from-90.restart";
  REQUIRE(fs::exists(other));
  std::string changed = text_of(step);
  changed[changed.find('.', changed.find("base_rise_mean_k")) + 1] ^= 1;
  put(step, changed);
  changed = text_of(other);
  changed[changed.size() / 2] ^= 1;
  put(other, changed);
  Remarks remarks;
  REQUIRE(run_tilts(the_case, tilts, into(scratch / "resumed", 1, true), {}, remarks));
  CHECK(results_in(scratch / "resumed") == expected);
  REQUIRE(remarks.all().size() == 2);
  CHECK_THAT(remarks.all()[0],
             ContainsSubstring(other.string() + ": found") && ContainsSubstring(": solved again"));
  CHECK_THAT(remarks.all()[1], ContainsSubstring(step.string() + ": found"));
}

TEST_CASE("Tilts: other angles do not go on from a sweep, a case without a base has none",
          "[tilts]") {
  const Scratch scratch("tilts-other");
  const Case the_case = even_case("[0.1]");
  REQUIRE(turned(the_case, tilts_in("0,30", "--tilts"), into(scratch / "out", 1, false), {}));
  const std::string before = results_in(scratch / "out");
  CHECK_THROWS_WITH(
      turned(the_case, tilts_in("0,45", "--tilts"), into(scratch / "out", 1, true), {}),
      ContainsSubstring("--tilts: found other angles") && ContainsSubstring("(0 30)"));
  CHECK(results_in(scratch / "out") == before);

  Case bare = the_case;
  bare.panels.front().sections.front().base = -1;
  CHECK_THROWS_WITH(turned(bare, tilts_in("0,45", "--tilts"), {}, {}),
                    ContainsSubstring("without a base"));
  RunOptions options;
  options.only = {"panel-on"};
  CHECK_THROWS_WITH(turned(the_case, tilts_in("0,45", "--tilts"), options, {}),
                    ContainsSubstring("--only: found 'panel-on'"));
}
