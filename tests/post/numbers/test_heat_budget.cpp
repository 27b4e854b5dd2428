#include "post/numbers/error_estimate.hpp"
#include "post/numbers/heat_budget.hpp"
#include "post/numbers/outcome.hpp"
#include "tests/post/fixtures.hpp"

#include <algorithm>
#include <cmath>
#include <string_view>

namespace tiltfin::tests {
namespace {

/// What a converged heat balance is promised to close to, of the heat released.
constexpr double closed = 1e-6;

constexpr double room_air = 298.15; ///< [K]

const HeatRow& row_named(const std::vector<HeatRow>& rows, HeatAccount account,
                         std::string_view part) {
  const auto found = std::ranges::find_if(
      rows, [&](const HeatRow& row) { return row.account == account && row.part == part; });
  INFO(name(account) << ", " << part);
  REQUIRE(found != rows.end());
  return *found;
}

/// That rows of each account add up without their last one, and that this one is what is missing.
void check_closed(const std::vector<HeatRow>& rows, double released_w, bool has_machine) {
  for (const HeatAccount account :
       {HeatAccount::parts, HeatAccount::groups, HeatAccount::machine, HeatAccount::section}) {
    if (account == HeatAccount::machine && !has_machine) {
      continue;
    }
    INFO(name(account));
    double sum = 0.0;
    for (const HeatRow& row : rows) {
      if (row.account == account && row.part != "not closed") {
        sum += row.heat_w.value;
        CHECK_THAT(row.convection_w.value + row.radiation_w.value + row.conduction_w.value,
                   WithinAbs(row.heat_w.value, 1e-12 * released_w));
      }
    }
    CHECK_THAT(sum, WithinRel(released_w, closed));
    CHECK_THAT(row_named(rows, account, "not closed").heat_w.value,
               WithinAbs(released_w - sum, 1e-12 * released_w));
  }
}

/// A machine in a room: a warm base with fins seen from their faces between two case walls, a part
/// that stands on the south side of the room and radiates, an opening on top of the case.
Section machine_in_room() {
  Section section;
  section.width = 0.2;
  section.height = 0.24;
  section.depth = 0.1;
  for (Side& side : section.sides) {
    side = {SideKind::open, room_air, 0.0, 0.0};
  }
  section.sides[south] = {SideKind::isothermal, room_air, 0.0, 0.7};
  section.solids = {solid_of("base", {0.07, 0.076, 0.08, 0.14}, Role::base, 180.0),
                    solid_of("wall-west", {0.05, 0.053, 0.06, 0.16}, Role::wall, 50.0),
                    solid_of("wall-east", {0.127, 0.13, 0.06, 0.16}, Role::wall, 50.0),
                    solid_of("stand", {0.16, 0.17, 0.0, 0.1}, Role::other, 2.0)};
  for (Solid& solid : section.solids) {
    solid.emissivity = 0.8;
  }
  section.solids[0].heat_share = 0.9;
  section.solids[3].power = 0.5;
  section.media = {{"fins", {0.076, 0.11, 0.08, 0.14}, 4e-3, 1.5e-3, 180.0, 0.1}};
  section.media[0].emissivity = 0.8;
  section.machine = Rectangle{0.05, 0.13, 0.06, 0.16};
  section.openings = {{"top", {0.053, 0.127, 0.16, 0.16}}, {"bottom", {0.053, 0.127, 0.06, 0.06}}};
  section.base = 0;
  return section;
}

const Solution& machine_solution() {
  static const Solution solution = [] {
    NestedOptions options;
    options.resolution.cells_per_gap = 3;
    options.resolution.cells_per_medium = 6;
    options.resolution.wall_cell = 0.003;
    options.examine_stability = false;
    return solve_nested(machine_in_room(), {0.0, -9.80665, 4.0},
                        {.constants = std::nullopt, .room_temperature = room_air}, options);
  }();
  REQUIRE(solution.report.status == SolveStatus::converged);
  return solution;
}

} // namespace

TEST_CASE("Heat budget: every account of a machine in a room closes", "[heat-budget]") {
  const std::vector<HeatRow> rows = heat_budget(machine_in_room(), machine_solution(), room_air);
  // 4 W of the machine and 0.5 W of the stand; of the machine's account the machine's alone.
  for (const HeatAccount account :
       {HeatAccount::parts, HeatAccount::groups, HeatAccount::section}) {
    double sum = 0.0;
    for (const HeatRow& row : rows) {
      sum += row.account == account && row.part != "not closed" ? row.heat_w.value : 0.0;
    }
    CHECK_THAT(sum, WithinRel(4.5, closed));
  }
  double machine = 0.0;
  for (const HeatRow& row : rows) {
    machine +=
        row.account == HeatAccount::machine && row.part != "not closed" ? row.heat_w.value : 0.0;
  }
  CHECK_THAT(machine, WithinRel(4.0, closed));
  CHECK_THAT(row_named(rows, HeatAccount::groups, "room").released_w, WithinRel(0.5, rounding));
  CHECK(row_named(rows, HeatAccount::parts, "stand").group == "room");
  CHECK(row_named(rows, HeatAccount::parts, "stand").conduction_w.value > 0.0); // into the south
  CHECK(row_named(rows, HeatAccount::machine, "top").convection_w.value > 1.0); // warm air rises
  CHECK(row_named(rows, HeatAccount::machine, "outer surfaces").radiation_w.value > 0.1);
  CHECK_THAT(row_named(rows, HeatAccount::machine, "elsewhere").heat_w.value, WithinAbs(0.0, 0.2));
}

TEST_CASE("Heat budget: bars come from the two meshes", "[heat-budget]") {
  const std::vector<HeatRow> rows = heat_budget(machine_in_room(), machine_solution(), room_air);
  Solution coarse = machine_solution();
  coarse.problem = *coarse.coarse_problem;
  coarse.state = *coarse.coarse_state;
  coarse.coarse_problem.reset();
  const std::vector<HeatRow> others = heat_budget(machine_in_room(), coarse, room_air);
  REQUIRE(rows.size() == others.size());
  const double fine = row_named(rows, HeatAccount::parts, "fins").radiation_w.value;
  const double other = row_named(others, HeatAccount::parts, "fins").radiation_w.value;
  CHECK_THAT(row_named(rows, HeatAccount::parts, "fins").radiation_w.error,
             WithinRel(discretisation_error(fine, other, mesh_pair(machine_solution())), rounding));
  CHECK(std::isnan(others.front().heat_w.error));
}

TEST_CASE("Heat budget: a block between walls conducts all of its heat", "[heat-budget]") {
  // The block fills the section but for a strip of air that insulates: by Fourier's law (1822) the
  // heat goes to the two cold sides in the ratio of the block's distances, here even.
  Section section;
  section.width = 0.1;
  section.height = 0.05;
  section.depth = 0.2;
  section.sides[west] = {SideKind::isothermal, room_air, 0.0};
  section.sides[east] = {SideKind::isothermal, room_air, 0.0};
  section.solids = {solid_of("block", {0.0, 0.1, 0.0, 0.04}, Role::base, 100.0)};
  section.solids[0].heat_share = 1.0;
  section.base = 0;
  NestedOptions options;
  options.resolution.cells_per_gap = 4;
  options.examine_stability = false;
  const Solution solution =
      solve_nested(section, {0.0, 0.0, 10.0}, // no gravity: still air
                   {.constants = hand_air(), .room_temperature = room_air}, options);
  REQUIRE(solution.report.status == SolveStatus::converged);
  const std::vector<HeatRow> rows = heat_budget(section, solution, room_air);
  check_closed(rows, 10.0, false);
  const HeatRow& block = row_named(rows, HeatAccount::parts, "block");
  // The strip of air conducts a share of its own, below its conductance over that of the block:
  // 0.5 * 0.01 to 100 * 0.04.
  CHECK_THAT(block.share_percent.value, WithinRel(100.0, 0.0013));
  CHECK(block.radiation_w.value == 0.0);
  CHECK_THAT(row_named(rows, HeatAccount::section, "west").conduction_w.value,
             WithinRel(5.0, closed));
  CHECK_THAT(row_named(rows, HeatAccount::section, "east").share_percent.value,
             WithinRel(50.0, closed));
}

TEST_CASE("Heat budget: a block in vacuum radiates all of its heat into an open room",
          "[heat-budget]") {
  Section section;
  section.width = 0.1;
  section.height = 0.1;
  section.depth = 0.5;
  for (Side& side : section.sides) {
    side = {SideKind::open, room_air, 0.0, 0.0};
  }
  section.solids = {solid_of("block", {0.04, 0.06, 0.03, 0.07}, Role::fin, 200.0)};
  section.solids[0].heat_share = 1.0;
  section.solids[0].emissivity = 0.8;
  section.base = 0;
  AirProperties thin = hand_air(); // next to no heat in it, none of it carried
  thin.conductivity = 1e-9;
  thin.density = 1e-9;
  NestedOptions options;
  options.resolution.cells_per_gap = 4;
  options.examine_stability = false;
  const Solution solution = solve_nested(
      section, {0.0, 0.0, 5.0}, {.constants = thin, .room_temperature = room_air}, options);
  REQUIRE(solution.report.status == SolveStatus::converged);
  const std::vector<HeatRow> rows = heat_budget(section, solution, room_air);
  check_closed(rows, 5.0, false);
  const HeatRow& block = row_named(rows, HeatAccount::groups, "fin");
  CHECK_THAT(block.radiation_w.value, WithinRel(5.0, closed));
  double received = 0.0;
  for (const char* side : {"west", "east", "south", "north"}) {
    received += row_named(rows, HeatAccount::section, side).radiation_w.value;
  }
  CHECK_THAT(received, WithinRel(5.0, closed));
  // Stefan's law for a convex body in black surroundings; the block is even to 1 mK: 5 W cross
  // 20 mm of 200 W/(m K).
  const double hot = std::pow(5.0 / 0.5 / (0.8 * 5.670374e-8 * 0.12) + std::pow(room_air, 4), 0.25);
  CHECK_THAT(make_outcome(section, solution,
                          {.panel = "", .orientation = "", .room_temperature = room_air})
                 .base_rise_mean_k.value,
             WithinAbs(hot - room_air, 0.01));
}

TEST_CASE("Heat budget: insulated walls hand on what they take up", "[heat-budget]") {
  Section section;
  section.width = 0.1;
  section.height = 0.1;
  for (Side& side : section.sides) {
    side = {SideKind::insulated, room_air, 0.0, 0.9};
  }
  section.sides[north] = {SideKind::film, room_air, 8.0, 0.9};
  section.solids = {solid_of("block", {0.03, 0.06, 0.03, 0.06}, Role::source, 50.0)};
  section.solids[0].heat_share = 1.0;
  section.solids[0].emissivity = 0.8;
  NestedOptions options;
  options.resolution.cells_per_gap = 5;
  options.examine_stability = false;
  const Solution solution =
      solve_nested(section, {0.0, -9.80665, 5.0},
                   {.constants = std::nullopt, .room_temperature = room_air}, options);
  REQUIRE(solution.report.status == SolveStatus::converged);
  const std::vector<HeatRow> rows = heat_budget(section, solution, room_air);
  check_closed(rows, 5.0, false);
  const HeatRow& west_wall = row_named(rows, HeatAccount::parts, "west");
  CHECK(west_wall.radiation_w.value < -0.01);
  CHECK_THAT(west_wall.convection_w.value, WithinRel(-west_wall.radiation_w.value, closed));
  CHECK_THAT(row_named(rows, HeatAccount::section, "north").conduction_w.value,
             WithinRel(5.0, closed));
}

} // namespace tiltfin::tests
