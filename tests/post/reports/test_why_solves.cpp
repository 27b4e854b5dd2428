// Solved pairs in which one cause alone was changed: it must lead.

#include "post/numbers/error_estimate.hpp"
#include "post/reports/why.hpp"
#include "tests/catch.hpp"
#include "tests/post/fixtures.hpp"

#include <algorithm>
#include <cmath>
#include <functional>
#include <optional>

namespace tiltfin::tests {
namespace {

constexpr double room_temperature = 298.15; ///< [K]

/// The cause that was changed is worth this share of the difference at least, and most of all.
/// Chosen before any solve: flow follows the rise, with about its root, and so takes back up to a
/// third of what another cause does on its own; a quarter is left for properties of air and where
/// the surfaces' mean is not the right one.
constexpr double least_of_difference = 0.75;

/// Fins seen from their faces on a base that stands in a shaft open below and above. A stand on the
/// south side of the room, as cold as it, is linked to the base.
Section shaft() {
  Section section;
  section.width = 0.2;
  section.height = 0.24;
  section.depth = 0.1;
  for (Side& side : section.sides) {
    side = {SideKind::open, room_temperature, 0.0, 0.0};
  }
  section.sides[south] = {SideKind::isothermal, room_temperature, 0.0, 0.9};
  section.solids = {solid_of("base", {0.07, 0.076, 0.08, 0.14}, Role::base, 180.0),
                    solid_of("wall-east", {0.112, 0.115, 0.06, 0.16}, Role::wall, 0.2),
                    solid_of("stand", {0.16, 0.17, 0.0, 0.05}, Role::other, 180.0)};
  section.solids[0].emissivity = 0.3;
  section.solids[0].heat_share = 1.0;
  section.media = {{"fins", {0.076, 0.11, 0.08, 0.14}, 4e-3, 1.5e-3, 180.0, 0.0}};
  section.media[0].emissivity = 0.3;
  section.links = {{"strap", 0, {0.07, 0.076, 0.08, 0.09}, 2, {0.16, 0.17, 0.04, 0.05}, 0.1}};
  section.machine = Rectangle{0.06, 0.12, 0.06, 0.16};
  section.base = 0;
  return section;
}

constexpr double usual_gravity = 9.80665; ///< [m/s2]

/// A condition, and what the coarse mesh of its pair alone says of it.
struct Solved {
  Outcome fine;
  Outcome coarse;
};

Solved solved(const Section& section, const char* orientation, double gravity) {
  NestedOptions options;
  options.resolution.cells_per_gap = 3;
  options.resolution.cells_per_medium = 8;
  options.resolution.wall_cell = 0.003;
  options.examine_stability = false;
  constexpr double power = 4.0;
  const OutcomeContext context{.panel = "on",
                               .orientation = orientation,
                               .power_w = power,
                               .room_temperature = room_temperature,
                               .core_to_base_k_per_w = 0.0};
  Solution solution =
      solve_nested(section, {0.0, -gravity, power},
                   {.constants = std::nullopt, .room_temperature = room_temperature}, options);
  REQUIRE(solution.report.status == SolveStatus::converged);
  Solved both;
  both.fine = make_outcome(section, solution, context);
  solution.problem = *solution.coarse_problem;
  solution.state = *solution.coarse_state;
  solution.coarse_problem.reset();
  solution.coarse_state.reset();
  both.coarse = make_outcome(section, solution, context);
  return both;
}

const Solved& usual_shaft() {
  static const Solved usual = solved(shaft(), "usual", usual_gravity);
  return usual;
}

Why why_between(const std::vector<Outcome>& outcomes) {
  ReportContext context;
  context.core.limit_temperature_c = 85.0;
  const std::vector<Why> whys = explain(outcomes, make_trends(outcomes, context), context);
  REQUIRE(whys.size() == 1);
  REQUIRE(whys.front().parts.size() == 10);
  return whys.front();
}

/// Of two conditions, the worse against the better one. The error of every part covers what
/// Richardson's estimate of the part itself, with its safety, makes of the two meshes; a hundredth
/// of a kelvin is below what anyone reads.
Why why_of(const Solved& one, const Solved& other) {
  Why why = why_between({one.fine, other.fine});
  const Why coarse = why_between({one.coarse, other.coarse});
  for (std::size_t k = 0; k < why.parts.size(); ++k) {
    const CausePart& part = why.parts[k];
    if (std::isfinite(part.rise_k.value)) {
      INFO(name(part.cause) << " " << part.rise_k.value << " ±" << part.rise_k.error
                            << " K, coarse " << coarse.parts[k].rise_k.value);
      const double apart = std::abs(part.rise_k.value - coarse.parts[k].rise_k.value);
      CHECK(part.rise_k.error + 0.01 > error_safety * apart / (std::pow(2.0, assumed_order) - 1.0));
    }
  }
  return why;
}

Why why_changed(const std::function<void(Section&)>& change, double gravity = usual_gravity) {
  Section section = shaft();
  change(section);
  return why_of(usual_shaft(), solved(section, "changed", gravity));
}

void check_leads(const Why& why, Cause cause) {
  INFO(why.paragraph);
  CHECK(std::abs(why.rise_k.value) > 0.5); // the change was worth something
  double sum = 0.0;
  for (const CausePart& part : why.parts) {
    INFO(name(part.cause) << " " << part.rise_k.value << " ±" << part.rise_k.error << " K");
    sum += std::isfinite(part.rise_k.value) ? part.rise_k.value : 0.0;
    if (part.cause == cause) {
      CHECK(part.rise_k.value / why.rise_k.value > least_of_difference);
      CHECK(part.is_named);
    } else if (std::isfinite(part.rise_k.value)) {
      CHECK(std::abs(part.rise_k.value) <
            std::abs(why.parts[static_cast<std::size_t>(cause)].rise_k.value));
    }
  }
  CHECK_THAT(sum, WithinAbs(why.rise_k.value, 1e-12 * (why.base_rise_k + why.than_base_rise_k)));
}

} // namespace

TEST_CASE("Why, solved: emissivity alone is radiation", "[why]") {
  const Why why = why_changed([](Section& section) {
    section.solids[0].emissivity = 0.95;
    section.media[0].emissivity = 0.95;
  });
  check_leads(why, Cause::radiation);
  CHECK_THAT(why.sentence, ContainsSubstring("because it radiates less"));
}

TEST_CASE("Why, solved: the metal's conductivity alone is conduction in the metal", "[why]") {
  const Why why = why_changed([](Section& section) { section.media[0].conductivity = 10.0; });
  check_leads(why, Cause::metal);
  CHECK_THAT(why.sentence, ContainsSubstring("because its metal conducts worse"));
}

TEST_CASE("Why, solved: a warm part below alone is the air that feeds the fins", "[why]") {
  Section section = shaft();
  section.solids.push_back(solid_of("drive", {0.085, 0.105, 0.03, 0.04}, Role::other));
  const Solved before = solved(section, "usual", usual_gravity);
  section.solids.back().power = 0.5;
  const Why why = why_of(before, solved(section, "changed", usual_gravity));
  check_leads(why, Cause::feeding_air);
  CHECK_THAT(why.sentence, ContainsSubstring("because its air comes warmer"));
}

TEST_CASE("Why, solved: a strap to a cold stand alone is another path", "[why]") {
  const Why why = why_changed([](Section& section) { section.links[0].conductance = 2.0; });
  check_leads(why, Cause::other_paths);
  CHECK_THAT(why.sentence, ContainsSubstring("because less leaves by other paths"));
}

TEST_CASE("Why, solved: less gravity alone is air that does not come", "[why]") {
  // What turning a machine does to the pull along its fins, and nothing else.
  const Why why = why_changed([](Section&) {}, 3.0);
  check_leads(why, Cause::through_flow);
  CHECK_THAT(why.sentence, ContainsSubstring("because less air goes through the cooler"));
}

TEST_CASE("Why, solved: wide gaps leave a part of their air unused", "[why]") {
  const Why why = why_changed([](Section& section) { section.media[0].gap = 16e-3; });
  INFO(why.paragraph);
  const CausePart& transfer = why.parts[static_cast<std::size_t>(Cause::transfer)];
  CHECK(transfer.is_named);
  CHECK(std::min(transfer.here, transfer.there) == 0.0); // the narrow ones use all of it
  CHECK(std::max(transfer.here, transfer.there) > 0.1);
  CHECK_THAT(why.paragraph, ContainsSubstring("from the surfaces to that air"));
}

} // namespace tiltfin::tests
