#include "post/numbers/draft.hpp"
#include "post/numbers/through_flow.hpp"
#include "solver/steady.hpp"
#include "tests/post/fixtures.hpp"

#include <algorithm>

namespace tiltfin::tests {
namespace {

const DraftPart& part_named(const std::vector<DraftPart>& parts, const std::string& name) {
  const auto found = std::ranges::find(parts, name, &DraftPart::name);
  INFO(name);
  REQUIRE(found != parts.end());
  return *found;
}

constexpr double slot_gap = 4e-3;     ///< [m]
constexpr double slot_length = 0.12;  ///< [m]
constexpr double slot_gravity = 9.81; ///< [m/s2]

/// Air rises between two warm plates that fill a shaft, open at both ends; 12 mm below them there
/// may be a perforated sheet.
Section shaft(double linear_loss) {
  Section section;
  section.width = 8e-3;
  section.height = 0.2;
  section.depth = 1.0;
  section.sides[south] = {SideKind::open, 300.0, 0.0, 0.0};
  section.sides[north] = {SideKind::open, 300.0, 0.0, 0.0};
  section.solids = {solid_of("left", {0.0, 2e-3, 0.04, 0.16}, Role::fin),
                    solid_of("right", {6e-3, 8e-3, 0.04, 0.16}, Role::fin)};
  section.solids[0].heat_share = 0.5;
  section.solids[1].heat_share = 0.5;
  section.base = 0;
  if (linear_loss > 0.0) {
    section.grilles = {{"sheet", {0.0, 8e-3, 0.028, 0.028}, linear_loss, 0.0}};
  }
  return section;
}

Solution risen(const Section& section) {
  NestedOptions options;
  options.resolution.cells_per_gap = 10;
  options.examine_stability = false;
  return solve_nested(section, {0.0, -slot_gravity, 4.0}, {air_at(310.0, 300.0), 300.0}, options);
}

double driven(const std::vector<DraftPart>& parts) {
  double sum = 0.0;
  for (const DraftPart& part : parts) {
    sum += part.driving_pa.value;
  }
  return sum;
}

double lost(const std::vector<DraftPart>& parts) {
  double sum = 0.0;
  for (const DraftPart& part : parts) {
    sum += part.lost_pa.value;
  }
  return sum;
}

} // namespace

TEST_CASE("Draft: buoyancy is that of the column of warm air", "[draft]") {
  // Uniform flow upwards past two plates from y = 0.3 to 0.5 m, air that warms by 100 K/m above
  // the reference at y = 0: 2 kg/m3 x 0.01 1/K x 9.8 m/s2 x 100 K/m x (0.25 - 0.09) m2 / 2.
  Section section;
  section.width = 0.8;
  section.height = 0.8;
  section.depth = 0.5;
  section.solids = {solid_of("left", {0.3, 0.35, 0.3, 0.5}, Role::fin),
                    solid_of("right", {0.45, 0.5, 0.3, 0.5}, Role::fin)};
  for (Side& side : section.sides) {
    side = {SideKind::open, 300.0, 0.0, 0.0};
  }
  const TensorMesh mesh = mesh_of(section, even_axis(0.8, 64), even_axis(0.8, 64));
  const Problem problem = make_problem(section, mesh, {0.0, -9.8, 0.0}, hand_air());
  const State state = state_of(
      mesh, [](double x, double) { return -0.3 * x; },
      [](double, double y) { return 300.0 + 100.0 * y; });
  const std::vector<DraftPart> parts = draft(section, problem, state);
  CHECK_THAT(part_named(parts, "fins").driving_pa.value, WithinRel(1.568, 1e-9));
  // A fin length (0.2 m) below and above, to the next mesh line of 12.5 mm: 0.3 to 0.1 (0.1 is a
  // line), 0.5 to 0.7.
  CHECK_THAT(part_named(parts, "before").driving_pa.value, WithinRel(9.8 * 0.08, 1e-9));
  CHECK_THAT(part_named(parts, "after").driving_pa.value, WithinRel(9.8 * 0.24, 1e-9));
}

TEST_CASE("Draft: between narrow plates friction is that of a parabolic profile", "[draft]") {
  // 12 mu u L / b^2 (plane Poiseuille flow, any textbook of fluid mechanics). Development adds
  // about 0.7 rho u^2 (Schlichting gives 0.6 to 0.7 rho u^2, from memory), a per cent of it here;
  // ten cells across err by 1 %. So 4 %.
  const Section section = shaft(0.0);
  const Solution solution = risen(section);
  REQUIRE(solution.report.status == SolveStatus::converged);
  const std::vector<DraftPart> parts = draft(section, solution.problem, solution.state);
  const AirProperties& air = solution.problem.air;
  const double speed = through_flow(section, solution.problem, solution.state).fresh / slot_gap;
  REQUIRE(speed > 0.01);
  const double friction = 12.0 * air.viscosity * speed * slot_length / (slot_gap * slot_gap);
  CHECK_THAT(part_named(parts, "fins").lost_pa.value, WithinRel(friction, 0.04));
  // What drives is what is lost, and buoyancy is most of what drives.
  CHECK_THAT(driven(parts), WithinRel(lost(parts), 1e-9));
  CHECK(part_named(parts, "fins").driving_pa.value + part_named(parts, "after").driving_pa.value >
        0.9 * driven(parts));
  CHECK(part_named(parts, "grilles").lost_pa.value == 0.0);
}

TEST_CASE("Draft: a perforated sheet loses what its law says", "[draft]") {
  // linear mu u, chosen to hold about as much as the plates; the two cells beside it add friction
  // of the shaft, some 3 % of the sheet's: 6 %.
  const double linear = 2e5;
  const Section section = shaft(linear);
  const Solution solution = risen(section);
  REQUIRE(solution.report.status == SolveStatus::converged);
  const std::vector<DraftPart> parts = draft(section, solution.problem, solution.state);
  const double speed =
      through_flow(section, solution.problem, solution.state).fresh / section.width;
  CHECK_THAT(part_named(parts, "grilles").lost_pa.value,
             WithinRel(linear * solution.problem.air.viscosity * speed, 0.06));
  CHECK_THAT(driven(parts), WithinRel(lost(parts), 1e-9));
}

TEST_CASE("Draft: none without a cooler", "[draft]") {
  Section section;
  section.width = 0.1;
  section.height = 0.1;
  const TensorMesh mesh = mesh_of(section, even_axis(0.1, 4), even_axis(0.1, 4));
  const Problem problem = make_problem(section, mesh, {0.0, -9.8, 0.0}, hand_air());
  CHECK(draft(section, problem, state_of(mesh, constant(0.0), constant(300.0))).empty());
}

} // namespace tiltfin::tests
