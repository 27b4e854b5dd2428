#include "cases/run/animations.hpp"
#include "cases/run/pictures.hpp"
#include "cases/run/run.hpp"
#include "post/views/fields.hpp"
#include "tests/cases/tiny_case.hpp"
#include "tests/catch.hpp"

#include <atomic>

using namespace tiltfin;
using namespace tiltfin::tests;

namespace {

struct SolvedCase {
  Scratch scratch{"animations"};
  Case the_case = parse_case(tiny_case_text("[1, 2]", "[\"upright\", \"flat-up\"]"), "tiny.toml");
  CaseResults results;

  SolvedCase() {
    RunOptions options;
    options.directory = scratch / "results";
    options.jobs = 1;
    results = run_case(the_case, options, {});
  }

  [[nodiscard]] RecordedFlow recorded(const Outcome& outcome, Recording recording) const {
    const Section& section = *solved_section(the_case, outcome);
    const std::string id = condition_id(outcome.panel, outcome.orientation, outcome.power_w);
    const SeenFlow known =
        read_fields(scratch / "results" / "fields" / (id + ".vtr"), section, outcome, "");
    return record_flow(the_case, section, outcome, known, recording, nullptr, [] {});
  }
};

void ignore() {}

} // namespace

TEST_CASE("Animations: a start from cold warms up to the steady rise", "[animations][slow]") {
  const SolvedCase solved;
  const Outcome& outcome = solved.results.outcomes.front();
  const RecordedFlow cold = solved.recorded(outcome, Recording::from_cold);
  REQUIRE(cold.status == SolveStatus::converged);
  REQUIRE(cold.times_s.size() == cold.flows.size());
  CHECK_THAT(cold.base_rises_k.front(), WithinAbs(0.0, 1e-9)); // rounding of 298 K
  for (std::size_t k = 1; k < cold.base_rises_k.size(); ++k) {
    CHECK(cold.times_s[k] > cold.times_s[k - 1]);
    CHECK(cold.base_rises_k[k] > 0.995 * cold.base_rises_k[k - 1]); // it does not cool down
  }
  // One percent is left by construction, as much again for steps of a fifth of the time.
  CHECK_THAT(cold.base_rises_k.back(), WithinRel(outcome.base_rise_mean_k.value, 0.02));
  // A body of one temperature warms up as 1 - exp(-t / time constant): in the first step it takes
  // what is released, so the block of 40 g warms at less than power over heat stored by aluminium.
  const double block = 0.004 * 0.004 * 0.1 * 2700.0 * 900.0;
  CHECK(cold.base_rises_k[1] < 1.0 * cold.times_s[1] / block);
}

TEST_CASE("Animations: what does not sway stays where it is", "[animations]") {
  const SolvedCase solved;
  const Outcome& outcome = solved.results.outcomes.back();
  const RecordedFlow swaying = solved.recorded(outcome, Recording::swaying);
  REQUIRE(swaying.status == SolveStatus::converged);
  CHECK(swaying.times_s.size() == 24);
  for (const double rise : swaying.base_rises_k) {
    CHECK_THAT(rise, WithinRel(outcome.base_rise_mean_k.value, 2e-3)); // twice a step's tolerance
  }
}

TEST_CASE("Animations: files of the chosen conditions, nothing of what was stopped",
          "[animations][slow]") {
  const SolvedCase solved;
  const std::vector<Outcome>& outcomes = solved.results.outcomes;
  const std::vector<ChosenRecording> telling = choose_recordings(outcomes, {});
  REQUIRE(telling.size() == 2); // coolest and hottest, both at 2 W
  CHECK(telling[0].outcome->base_rise_mean_k.value < telling[1].outcome->base_rise_mean_k.value);
  CHECK(telling[0].outcome->power_w == 2.0);
  CHECK(choose_recordings(outcomes, {"upright_1w"}).size() == 1);
  CHECK_THROWS_WITH(choose_recordings(outcomes, {"sideways"}), ContainsSubstring("sideways"));
  const std::filesystem::path directory = solved.scratch / "results";
  const std::atomic<bool> stop = true;
  CHECK_FALSE(write_animation(directory, solved.the_case, telling[0], &stop, ignore).has_value());
  CHECK_FALSE(std::filesystem::exists(directory / "animations"));
  const std::optional<Animated> animated =
      write_animation(directory, solved.the_case, telling[0], nullptr, ignore);
  REQUIRE(animated.has_value());
  const std::string svg = text_of(animated->svg);
  CHECK_THAT(svg, ContainsSubstring("prefers-reduced-motion") && ContainsSubstring("from cold"));
  std::filesystem::path csv = animated->svg;
  CHECK_THAT(text_of(csv.replace_extension(".csv")), ContainsSubstring("time_s,base_rise_k\n0,"));
}
