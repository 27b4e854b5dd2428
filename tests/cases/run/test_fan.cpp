#include "cases/check/cost.hpp"
#include "cases/geometry/fan.hpp"
#include "cases/run/chains.hpp"
#include "cases/run/fan.hpp"
#include "cases/run/restart.hpp"
#include "cases/run/results.hpp"
#include "cases/run/run.hpp"
#include "cases/run/tilts.hpp"
#include "post/numbers/balances.hpp"
#include "post/numbers/fan_rise.hpp"
#include "post/reports/outcome_columns.hpp"
#include "post/reports/summary.hpp"
#include "tests/cases/tiny_case.hpp"
#include "tests/catch.hpp"

#include <algorithm>
#include <atomic>
#include <cmath>
#include <numbers>
#include <string>

using namespace tiltfin;
using namespace tiltfin::tests;

namespace {

/// A ring in a vented case, meshed so coarsely that a section takes a fifth of a second.
std::string ring_text(int fan_sections, const std::string& orientations,
                      const std::string& powers) {
  return R"([conditions]
added_powers = "none"
powers_w = )" +
         powers + "\norientations = " + orientations + R"(
[case]
width_mm = 50
height_mm = 100
[[case.panel]]
name = "vented"
open = ["south", "north"]
[board]
thickness_mm = 2
height_mm = 80
[ring]
chip_thickness_mm = 4
chip_length_mm = 20
base_thickness_mm = 4
core_diameter_mm = 24
outer_diameter_mm = 64
fins = 20
fin_thickness_mm = 1
fin_height_mm = 24
fan_sections = )" +
         std::to_string(fan_sections) + R"(
[mesh]
growth = 2
wall_cell_mm = 4
cells_per_gap = 2
cells_per_sheet = 1
cells_per_medium = 4
largest_cell_mm = 12
)";
}

RunOptions into(const std::filesystem::path& directory, bool resume = false,
                const std::atomic<bool>* stop = nullptr) {
  RunOptions options;
  options.directory = directory;
  options.jobs = 1;
  options.resume = resume;
  options.examine_stability = false;
  options.stop = stop;
  return options;
}

std::vector<Outcome> solve_ring(const std::string& text, const RunOptions& options,
                                const std::function<void(const Progress&)>& progress = {}) {
  return run_case(parse_case(text, "ring.toml"), options, progress).outcomes;
}

double sum_of(const std::vector<FanRow>& fan, double FanRow::*member) {
  double sum = 0.0;
  for (const FanRow& row : fan) {
    sum += row.*member;
  }
  return sum;
}

} // namespace

TEST_CASE("Fan: points and weights are those of Gauss and Legendre", "[fan]") {
  CHECK(fan_of_sections(1).size() == 1);
  CHECK(fan_of_sections(1).front().angle_deg == 0.0);
  CHECK(fan_of_sections(1).front().weight == 1.0);
  // Abramowitz and Stegun 1964, table 25.4: on (-1, 1), to the digits printed (15).
  const std::vector<FanPart> three = fan_of_sections(3);
  REQUIRE(three.size() == 3);
  const double x = 0.774596669241483;
  CHECK(three[0].angle_deg == Approx(45.0 * (1.0 - x)).epsilon(1e-13));
  CHECK(three[1].angle_deg == Approx(45.0).epsilon(1e-13));
  CHECK(three[2].angle_deg == Approx(45.0 * (1.0 + x)).epsilon(1e-13));
  CHECK(three[0].weight == Approx(0.555555555555556 / 2.0).epsilon(1e-13));
  CHECK(three[1].weight == Approx(0.888888888888889 / 2.0).epsilon(1e-13));
  const std::vector<FanPart> four = fan_of_sections(4);
  CHECK(four[0].angle_deg == Approx(45.0 * (1.0 - 0.861136311594053)).epsilon(1e-13));
  CHECK(four[0].weight == Approx(0.347854845137454 / 2.0).epsilon(1e-13));
  CHECK(four[1].weight == Approx(0.652145154862546 / 2.0).epsilon(1e-13));
}

TEST_CASE("Fan: a section feels gravity along the axis whole and its cosine across", "[fan]") {
  const Condition whole{.gravity_x = -3.0, .gravity_y = -8.0, .power = 20.0};
  const Condition vertical = in_part(whole, {.angle_deg = 0.0, .weight = 1.0, .power = 20.0});
  CHECK(vertical.gravity_x == whole.gravity_x);
  CHECK(vertical.gravity_y == whole.gravity_y); // to the bit: one section is what it was
  const Condition turned = in_part(whole, {.angle_deg = 60.0, .weight = 0.5, .power = 7.0});
  CHECK(turned.gravity_x == whole.gravity_x);
  CHECK(turned.gravity_y == Approx(-4.0).epsilon(1e-14));
  CHECK(turned.power == 7.0);
}

TEST_CASE("Fan: only a ring whose axis gravity has a part across is one", "[fan]") {
  const Case ring = parse_case(ring_text(3, R"(["upright"])", "[4]"), "ring.toml");
  CHECK(fan_of(ring.cooler, named_orientation("upright")).size() == 3);
  CHECK(fan_of(ring.cooler, named_orientation("upside-down")).size() == 3);
  CHECK(fan_of(ring.cooler, tilted_orientation(30.0)).size() == 3);
  CHECK(fan_of(ring.cooler, named_orientation("flat-up")).size() == 1);
  CHECK(fan_of(ring.cooler, named_orientation("flat-down")).size() == 1);
  CHECK(fan_of(ring.cooler, tilted_orientation(90.0)).size() == 1);
  const Case block = parse_case(tiny_case_text("[1]", R"(["upright"])"), "tiny.toml");
  CHECK(fan_of(block.cooler, named_orientation("upright")).size() == 1);
}

TEST_CASE("Fan: the common rise of sections with one law of power", "[fan]") {
  // rise = c power^0.75 with different c, at powers that are off by some per cent: the rise at
  // which the powers add up to the whole is found from the cube of 4/3.
  const std::vector<double> law{2.0, 3.0};
  std::vector<FanPart> parts{{0.0, 0.4, 10.0}, {60.0, 0.6, 6.0}};
  std::vector<double> rises;
  double conductance = 0.0; // power at a rise of 1 K
  for (std::size_t k = 0; k < 2; ++k) {
    rises.push_back(law[k] * std::pow(parts[k].power, 0.75));
    conductance += parts[k].weight * std::pow(law[k], -4.0 / 3.0);
  }
  const double power = 0.4 * 10.0 + 0.6 * 6.0;
  const double exact = std::pow(power / conductance, 0.75);
  // Apart by 2.3 %: an eighth of the square of that is what the second order can amount to.
  CHECK(rises_apart(parts, rises) == Approx(0.0226).epsilon(0.05));
  CHECK(common_rise(parts, rises) == Approx(exact).epsilon(0.0226 * 0.0226));
  parts[0].power = parts[1].power = 0.0; // other parts alone warm it
  CHECK(common_rise(parts, rises) == Approx(0.4 * rises[0] + 0.6 * rises[1]));
}

TEST_CASE("Fan: heats and powers of the sections add up, their rises are equal", "[fan]") {
  const Scratch scratch("fan-sum");
  const std::vector<Outcome> outcomes =
      solve_ring(ring_text(3, R"(["upright", "flat-up"])", "[4]"), into(scratch / "out"));
  REQUIRE(outcomes.size() == 2);
  const Outcome& ring = outcomes[0];
  REQUIRE(ring.fan.size() == 3);
  CHECK(outcomes[1].fan.empty());
  CHECK(ring.status == SolveStatus::converged);
  CHECK(sum_of(ring.fan, &FanRow::power_share_percent) == Approx(100.0).epsilon(1e-12));
  CHECK(sum_of(ring.fan, &FanRow::weight) == Approx(1.0).epsilon(1e-12));
  // All heat that is released leaves through the sides: each section closes to 1e-6 (promised).
  double out = 0.0;
  for (const NamedHeat& side : ring.sides) {
    out += side.heat_w;
  }
  CHECK(out == Approx(4.0).epsilon(1e-6));
  for (const FanRow& row : ring.fan) {
    CHECK(row.base_rise_k.value == Approx(ring.base_rise_mean_k.value).epsilon(0.01));
  }
  CHECK(ring.fan[0].conductance_w_per_k > ring.fan[1].conductance_w_per_k);
  CHECK(ring.fan[1].conductance_w_per_k > ring.fan[2].conductance_w_per_k);
  CHECK(ring.fan[0].fins_h_w_per_m2k > ring.fan[2].fins_h_w_per_m2k);
  CHECK(sum_of(ring.fan, &FanRow::through_flow_g_per_s) ==
        Approx(ring.through_flow_g_per_s.value).epsilon(1e-12));
  CHECK(ring.base_rise_mean_k.error > 0.0);
  // The rise is that of the whole power over the conductances of all.
  double conductance = 0.0;
  for (const FanRow& row : ring.fan) {
    conductance += row.weight * row.conductance_w_per_k;
  }
  CHECK(ring.base_rise_mean_k.value * conductance == Approx(4.0).epsilon(1e-9));
  const std::string csv = text_of(scratch / "out" / "fan.csv");
  CHECK(std::count(csv.begin(), csv.end(), '\n') == 4);
  CHECK(outcome_to_json(outcome_from_json(outcome_to_json(ring))) == outcome_to_json(ring));
}

TEST_CASE("Fan: of one section it is the section", "[fan]") {
  const Scratch scratch("fan-one");
  const std::vector<Outcome> one =
      solve_ring(ring_text(1, R"(["upright"])", "[4]"), into(scratch / "one"));
  const std::vector<Outcome> three =
      solve_ring(ring_text(3, R"(["upright"])", "[4]"), into(scratch / "three"));
  CHECK(one[0].fan.empty());
  CHECK_FALSE(std::filesystem::exists(scratch / "one" / "fan.csv"));
  // All fins as if vertical is too good: by what the sections lose beside the axis.
  CHECK(three[0].base_rise_mean_k.value > 1.02 * one[0].base_rise_mean_k.value);
  // The section nearest to the vertical, at 10 degrees, does what the vertical one does to the
  // 1.5 % that its cosine lacks.
  const double vertical = 4.0 / one[0].base_rise_mean_k.value;
  CHECK(three[0].fan[0].conductance_w_per_k < 1.05 * vertical);
  CHECK(three[0].fan[0].conductance_w_per_k > 0.95 * vertical);
}

TEST_CASE("Fan: a warm plate at an angle follows the cosine law", "[fan]") {
  // Inclined plates give off heat as upright ones under g cos(angle), Nu ~ (Ra cos(angle))^(1/4),
  // to 60 degrees at least: Rich 1953, Trans. ASME 75, 489, and every textbook (from memory). Here
  // the isothermal plate of the validation, alone in a room. Allowed: 3 %, what its own Nu/Ra^(1/4)
  // may be off by, for edges and the leading edge's thick layer count for more at smaller Ra.
  const Case plate = read_case("validation/isothermal_plate/case.toml");
  const Section& section = plate.panels.front().sections.front();
  const Condition upright{.gravity_x = 0.0, .gravity_y = -plate.gravity, .power = 0.0};
  NestedOptions options;
  options.examine_stability = false;
  options.calm = plate.calm;
  options.resolution = with_cells_scaled(section, plate.resolution, 2.0);
  const AirRule air{.constants = plate.air, .room_temperature = plate.room_temperature};
  double vertical = 0.0;
  for (const double angle : {0.0, 30.0, 60.0}) {
    CAPTURE(angle);
    const Condition there = in_part(upright, {.angle_deg = angle, .weight = 1.0, .power = 0.0});
    const Solution solution = solve_nested(section, there, air, options);
    REQUIRE(solution.report.status == SolveStatus::converged);
    const double heat = solid_heat(section, solution.problem, solution.state)[1];
    vertical = angle == 0.0 ? heat : vertical;
    const double law = std::pow(std::cos(angle * std::numbers::pi / 180.0), 0.25);
    CHECK(heat / vertical == Approx(law).epsilon(0.03));
  }
}

TEST_CASE("Fan: an interrupted run goes on to the same bytes", "[fan]") {
  const Scratch scratch("fan-resume");
  const std::string text = ring_text(2, R"(["upright"])", "[2, 4]");
  (void)solve_ring(text, into(scratch / "whole"));
  std::atomic<bool> stop = false;
  const std::vector<Outcome> first =
      solve_ring(text, into(scratch / "parts", false, &stop),
                 [&](const Progress& progress) { stop = progress.done >= 1; });
  CHECK(first.size() == 1);
  (void)solve_ring(text, into(scratch / "parts", true));
  for (const char* file : {"summary.csv", "fan.csv", "conditions/vented_upright_4w.json",
                           "conditions/vented_upright_4w.restart"}) {
    CAPTURE(file);
    CHECK(!text_of(scratch / "whole" / file).empty());
    CHECK(text_of(scratch / "whole" / file) == text_of(scratch / "parts" / file));
  }
}

TEST_CASE("Fan: a sweep of tilts goes through fans, and on from disk to the same bytes",
          "[fan][long]") {
  const Scratch scratch("fan-tilts");
  const Case the_case = parse_case(ring_text(2, R"(["upright"])", "[4]"), "ring.toml");
  const Tilts tilts = tilts_in("0,60", "--tilts");
  Remarks remarks;
  const std::optional<TiltReport> whole =
      run_tilts(the_case, tilts, into(scratch / "whole"), {}, remarks);
  REQUIRE(whole);
  for (const TiltPoint& point : whole->points) {
    CHECK(point.rising.fan.size() == 2);
    CHECK(point.falling.fan.size() == 2);
  }
  std::atomic<bool> stop = false;
  CHECK_FALSE(run_tilts(
      the_case, tilts, into(scratch / "parts", false, &stop),
      [&](const Progress& progress) { stop = progress.done >= 1; }, remarks));
  REQUIRE(run_tilts(the_case, tilts, into(scratch / "parts", true), {}, remarks));
  CHECK(text_of(scratch / "parts" / "tilts.csv") == text_of(scratch / "whole" / "tilts.csv"));
  CHECK(remarks.all().empty());
}

TEST_CASE("Fan: what is expected of its cost counts its sections", "[fan]") {
  const auto cost = [](int sections, const std::string& orientations) {
    return expected_cost(parse_case(ring_text(sections, orientations, "[4]"), "ring.toml"), 1);
  };
  const double one = cost(1, R"(["upright"])").first_seconds;
  CHECK(cost(3, R"(["upright"])").first_seconds == Approx(3 * 1.5 * one)); // as measured
  CHECK(cost(3, R"(["flat-up"])").first_seconds == Approx(one));
  CHECK(cost(3, R"(["upright", "flat-up"])").first_seconds == Approx((3 * 1.5 + 1) * one));
}

TEST_CASE("Fan: a restart file holds every section, and none that is amiss is read", "[fan]") {
  const Scratch scratch("fan-restart");
  const std::string text = ring_text(2, R"(["upright"])", "[4]");
  (void)solve_ring(text, into(scratch / "out"));
  const Case the_case = parse_case(text, "ring.toml");
  const std::vector<Chain> chains = make_chains(the_case, {}, false);
  const Condition condition = condition_of(the_case, chains[0], 4.0);
  const std::filesystem::path file = restart_file(scratch / "out", chains[0].conditions[0].id);
  const auto read = [&] { return read_restart(file, the_case, *chains[0].section, condition); };
  const std::optional<Solution> whole = read();
  REQUIRE(whole);
  REQUIRE(whole->others.size() == 1);
  CHECK(whole->others[0].problem.gravity_y ==
        Approx(condition.gravity_y *
               std::cos(whole->others[0].part.angle_deg * std::numbers::pi / 180.0)));
  CHECK(whole->coarse_state);
  CHECK(whole->others[0].coarse_state);
  const std::optional<Solution> finest = read_finest(file, the_case, *chains[0].section, condition);
  REQUIRE(finest);
  CHECK_FALSE(finest->coarse_state);
  CHECK(finest->others.size() == 1);
  Solution broken = *whole;
  broken.others[0].part.weight = -1.0;
  write_restart(file, the_case, broken);
  CHECK_FALSE(read());
  broken = *whole;
  broken.others[0].state.temperature.pop_back();
  write_restart(file, the_case, broken);
  CHECK_FALSE(read());
}

TEST_CASE("Fan: each section is examined, and the worst verdict is the ring's", "[fan]") {
  RunOptions options;
  options.jobs = 1;
  const std::vector<Outcome> outcomes = solve_ring(ring_text(2, R"(["upright"])", "[4]"), options);
  REQUIRE(outcomes.size() == 1);
  const Outcome& ring = outcomes[0];
  REQUIRE(ring.fan.size() == 2);
  REQUIRE(is_examined(ring.stability.state));
  for (const FanRow& row : ring.fan) {
    CHECK(is_examined(row.stability.state));
    CHECK(ring.stability.growth_per_s >= row.stability.growth_per_s);
    CHECK(ring.stability.state >= row.stability.state);
  }
  CHECK(std::isfinite(ring.steady_rise_k));
}
