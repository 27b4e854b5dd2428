#include "cases/file/stored.hpp"
#include "cases/run/restart.hpp"
#include "cases/run/results.hpp"
#include "cases/run/run.hpp"
#include "post/numbers/balances.hpp"
#include "post/reports/outcome_columns.hpp"
#include "post/reports/summary.hpp"
#include "post/reports/why.hpp"
#include "tests/cases/case_texts.hpp"
#include "tests/cases/tiny_case.hpp"
#include "tests/catch.hpp"

#include <array>
#include <atomic>
#include <bit>
#include <cmath>
#include <cstdint>
#include <cstring>
#include <limits>

using namespace tiltfin;
using namespace tiltfin::tests;

namespace {

Case tiny_case(const std::string& powers, const std::string& orientations) {
  return parse_case(tiny_case_text(powers, orientations), "tiny.toml");
}

/// Every number that the files show of an outcome, as bits; NaN, of either sign, as one.
std::vector<std::uint64_t> bits(const Outcome& outcome) {
  std::vector<std::uint64_t> all;
  const auto add = [&](const char*, const auto& value, In = In::both) {
    using T = std::decay_t<decltype(value)>;
    if constexpr (std::is_same_v<T, double>) {
      all.push_back(std::isnan(value) ? 0U : std::bit_cast<std::uint64_t>(value));
    } else if constexpr (std::is_same_v<T, int>) {
      all.push_back(static_cast<std::uint64_t>(value));
    }
  };
  visit_members(outcome, add);
  visit_lists(outcome, [&](const char*, const char*, const auto& parts) {
    for (const auto& part : parts) {
      visit_members(part, add);
    }
  });
  return all;
}

RunOptions jobs(int n) {
  RunOptions options;
  options.jobs = n;
  return options;
}

RunOptions only(const std::string& text) {
  RunOptions options;
  options.only = {text};
  return options;
}

RunOptions one_job(bool resume, const std::atomic<bool>* stop = nullptr) {
  RunOptions options = jobs(1);
  options.resume = resume;
  options.stop = stop;
  return options;
}

/// What is solved into `directory` by `options` on the tiny case's text.
std::vector<Outcome> run_in(const std::filesystem::path& directory, const std::string& text,
                            RunOptions options,
                            const std::function<void(const Progress&)>& progress = {}) {
  options.directory = directory;
  return run_case(parse_case(text, "tiny.toml"), options, progress).outcomes;
}

} // namespace

TEST_CASE("Run: outcomes come in the order panel, orientation, power", "[run]") {
  const Case the_case = tiny_case("[0.2, 0.1]", R"(["flat-up", "upright"])");
  const std::vector<Outcome> outcomes = run_case(the_case, jobs(2), {}).outcomes;
  REQUIRE(outcomes.size() == 4);
  const std::vector<std::string> orientations{"flat-up", "flat-up", "upright", "upright"};
  for (std::size_t k = 0; k < 4; ++k) {
    CHECK(outcomes[k].orientation == orientations[k]);
    CHECK(outcomes[k].power_w == (k % 2 == 0 ? 0.1 : 0.2));
    CHECK(outcomes[k].status == SolveStatus::converged);
  }
  // More power, more rise: the rows belong to their powers.
  CHECK(outcomes[1].base_rise_mean_k.value > 1.5 * outcomes[0].base_rise_mean_k.value);
}

TEST_CASE("Run: one and two threads give the same bits", "[run]") {
  const Case the_case = tiny_case("[0.1, 0.2]", R"(["upright", "flat-down"])");
  const std::vector<Outcome> one = run_case(the_case, jobs(1), {}).outcomes;
  const std::vector<Outcome> two = run_case(the_case, jobs(2), {}).outcomes;
  REQUIRE(one.size() == 4);
  REQUIRE(two.size() == 4);
  for (std::size_t k = 0; k < 4; ++k) {
    CHECK(bits(one[k]) == bits(two[k]));
    // 26 in the row, two of the block and of each side: none is passed over.
    CHECK(bits(one[k]).size() >= 26 + 5 * 2);
  }
}

TEST_CASE("Run: gravity out of the section is refused and the section that can answer is named",
          "[run]") {
  const Case the_case = tiny_case("[0.1]", R"(["upright", "quarter-left"])");
  CHECK_THROWS_WITH(run_case(the_case, {}, {}),
                    ContainsSubstring("tiny.toml:4: key 'conditions.orientations'") &&
                        ContainsSubstring("found quarter-left") &&
                        ContainsSubstring("section of x and z"));
  // Not asked for, not refused.
  CHECK(run_case(the_case, only("upright"), {}).outcomes.size() == 1);
}

TEST_CASE("Run: a choice that fits no condition is refused with the conditions there are",
          "[run]") {
  const Case the_case = tiny_case("[0.1]", R"(["upright"])");
  const std::string id = condition_id(the_case.panels[0].name, "upright", 0.1);
  CHECK_THROWS_AS(run_case(the_case, only("upwards"), {}), InputError);
  CHECK_THROWS_WITH(run_case(the_case, only("upwards"), {}),
                    ContainsSubstring("upwards") && ContainsSubstring(id));
}

TEST_CASE("Run: progress counts up to the number of conditions to solve", "[run]") {
  const Case the_case = tiny_case("[0.1, 0.2]", R"(["upright"])");
  std::array<int, 2> largest{}; // while solving, while examining
  std::array<int, 2> total{};
  bool is_rising = true;
  bool expects_end = true;
  const auto watch = [&](const Progress& progress) {
    const std::size_t pass = progress.examines ? 1 : 0;
    is_rising = is_rising && progress.done >= largest.at(pass) && (pass == 1 || total[1] == 0);
    largest.at(pass) = progress.done;
    total.at(pass) = progress.total;
    expects_end = expects_end && (progress.done != 1 || progress.seconds_left > 0.0);
  };
  CHECK(run_case(the_case, jobs(1), watch).outcomes.size() == 2);
  CHECK(is_rising);
  CHECK(expects_end);
  CHECK(largest == std::array{2, 2});
  CHECK(total == std::array{2, 2});
}

TEST_CASE("Run: a directory of another case is refused and left as it is", "[run]") {
  const Scratch scratch("other-case");
  const std::string text = tiny_case_text("[0.1]", R"(["upright"])");
  CHECK(run_in(scratch / "out", text, {}).size() == 1);
  const std::string kept = text_of(scratch / "out/case.toml");
  // Another power is another condition, another conductivity another case.
  CHECK_THROWS_AS(
      run_in(scratch / "out", tiny_case_text("[0.3]", R"(["upright"])"), one_job(false)),
      InputError);
  std::string other = text;
  other.replace(other.find("w_per_mk = 10"), 13, "w_per_mk = 11");
  for (const bool resume : {false, true}) {
    CHECK_THROWS_AS(run_in(scratch / "out", other, one_job(resume)), InputError);
  }
  CHECK(text_of(scratch / "out/case.toml") == kept);
  CHECK(kept == text);
}

TEST_CASE("Run: a stopped run that is resumed gives the bits of an uninterrupted one", "[run]") {
  const Scratch scratch("stopped");
  const std::string text = tiny_case_text("[0.1, 0.2, 0.3]", R"(["upright"])");
  const std::vector<Outcome> whole = run_in(scratch / "whole", text, jobs(1));
  REQUIRE(whole.size() == 3);

  std::atomic<bool> stop = false;
  const auto stop_after_first = [&](const Progress& progress) { stop = progress.done == 1; };
  const std::vector<Outcome> first =
      run_in(scratch / "parts", text, one_job(false, &stop), stop_after_first);
  REQUIRE(first.size() == 1);
  CHECK(first[0].stability.state == Stability::awaited);

  int solved = 0;
  const std::vector<Outcome> resumed =
      run_in(scratch / "parts", text, one_job(true), [&](const Progress& progress) {
        solved = progress.examines ? solved : progress.done;
      });
  CHECK(solved == 2);
  REQUIRE(resumed.size() == 3);
  for (std::size_t k = 0; k < 3; ++k) {
    CHECK(bits(resumed[k]) == bits(whole[k]));
  }
}

TEST_CASE("Run: the first numbers are on disk before anything is examined", "[run]") {
  const Scratch scratch("first");
  RunOptions options = jobs(1);
  options.directory = scratch / "out";
  bool examines = false;
  int told = 0;
  std::vector<Outcome> first;
  const CaseResults results = run_case(
      tiny_case("[0.1, 0.2]", R"(["upright"])"), options,
      [&](const Progress& progress) { examines = progress.examines; },
      [&](const CaseResults& numbers) {
        ++told;
        CHECK_FALSE(examines);
        first = numbers.outcomes;
        CHECK_THAT(text_of(scratch / "out/summary.csv"), ContainsSubstring(",not yet examined,"));
        CHECK(numbers.trends.at(0).limit.skips_stability);
      });
  CHECK(told == 1);
  CHECK(examines);
  REQUIRE(first.size() == 2);
  REQUIRE(results.outcomes.size() == 2);
  for (std::size_t k = 0; k < 2; ++k) {
    CHECK(first[k].stability.state == Stability::awaited);
    REQUIRE(first[k].warnings.size() == 1);
    CHECK_THAT(first[k].warnings[0], ContainsSubstring("not examined yet"));
    CHECK(results.outcomes[k].stability.state == Stability::stable);
    CHECK(results.outcomes[k].warnings.empty());
    // A steady flow that air does not leave stays the result, to what one more Newton step changes.
    CHECK_THAT(results.outcomes[k].base_rise_mean_k.value,
               WithinRel(first[k].base_rise_mean_k.value, 1e-6));
    CHECK(results.outcomes[k].factorisations > first[k].factorisations);
  }
  CHECK_THAT(text_of(scratch / "out/summary.csv"), !ContainsSubstring("not yet examined"));
  // What a power added later starts from is there, and nothing else of the way.
  CHECK_FALSE(std::filesystem::exists(scratch / "out/conditions/on.upright.0.1w.restart"));
}

TEST_CASE("Run: interrupted while it examines, nothing solved is lost and resuming gives the same",
          "[run][slow]") {
  const Scratch scratch("examining");
  const std::string text = tiny_case_text("[0.1, 0.2, 0.3]", R"(["upright"])");
  const std::vector<Outcome> whole = run_in(scratch / "whole", text, jobs(1));
  std::atomic<bool> stop = false;
  const std::vector<Outcome> parts =
      run_in(scratch / "parts", text, one_job(false, &stop),
             [&](const Progress& progress) { stop = progress.examines && progress.done == 1; });
  REQUIRE(parts.size() == 3);
  CHECK(bits(parts[0]) == bits(whole[0]));
  CHECK(parts[0].stability.state == Stability::stable);
  CHECK(parts[1].stability.state == Stability::awaited);
  CHECK(parts[2].stability.state == Stability::awaited);

  int solved = 0;
  int examined = 0;
  const std::vector<Outcome> resumed =
      run_in(scratch / "parts", text, one_job(true), [&](const Progress& progress) {
        (progress.examines ? examined : solved) = progress.done;
      });
  CHECK(solved == 0);
  CHECK(examined == 2);
  REQUIRE(resumed.size() == 3);
  for (std::size_t k = 0; k < 3; ++k) {
    CHECK(bits(resumed[k]) == bits(whole[k]));
    CHECK(resumed[k].stability.state == Stability::stable);
  }
}

TEST_CASE("Run: resuming keeps finished conditions and solves damaged ones again", "[run]") {
  const Scratch scratch("damaged");
  const std::string text = tiny_case_text("[0.1, 0.2]", R"(["upright"])");
  std::vector<Outcome> before = run_in(scratch / "out", text, jobs(1));
  REQUIRE(before.size() == 2);
  const auto file = [&](const Outcome& outcome) {
    return (scratch / "out/conditions") /
           (condition_id(outcome.panel, outcome.orientation, outcome.power_w) + ".json");
  };
  // A mark in the first tells kept from solved; the second is cut short.
  before[0].base_rise_mean_k.value = 123.0;
  write_stored_json(file(before[0]), outcome_to_json(before[0]),
                    crc32_of_case(parse_case(text, "tiny.toml")));
  put(file(before[1]), outcome_to_json(before[1]).substr(0, 40));

  const std::vector<Outcome> after = run_in(scratch / "out", text, one_job(true));
  REQUIRE(after.size() == 2);
  CHECK(after[0].base_rise_mean_k.value == 123.0);
  CHECK(outcome_from_json(text_of(file(before[1]))).power_w == 0.2);
  // The restart of 0.1 W has served and is gone, so 0.2 W came from rest: equal up to the
  // tolerance of the film temperature, 0.02 K of some 10 K.
  CHECK_THAT(after[1].base_rise_mean_k.value, WithinRel(before[1].base_rise_mean_k.value, 2e-3));
}

TEST_CASE("Run: resuming with more powers, another limit or title solves only what is new",
          "[run]") {
  const Scratch scratch("more");
  CHECK(run_in(scratch / "out", tiny_case_text("[0.1]", R"(["upright"])"), jobs(1)).size() == 1);
  std::string text = tiny_case_text("[0.1, 0.2]", R"(["upright"])");
  text.replace(text.find("block in a box"), 14, "the same block");
  text += "[limit]\ntemperature_c = 70\n";
  int solved = 0;
  const std::vector<Outcome> both =
      run_in(scratch / "out", text, one_job(true),
             [&](const Progress& progress) { solved = progress.total; });
  CHECK(both.size() == 2);
  CHECK(solved == 1);
  CHECK(text_of(scratch / "out/case.toml") == text);
  // Of the core's rise it decides the results.
  CHECK_THROWS_AS(run_in(scratch / "out", text + "die_to_base_k_per_w = 0.5\n", one_job(true)),
                  InputError);
}

TEST_CASE("Run: why conditions differ is on disk, and resuming makes it anew", "[run]") {
  const Scratch scratch("why");
  const std::string text = tiny_case_text("[0.1, 0.2]", R"(["upright", "flat-up"])");
  CHECK(run_in(scratch / "out", text, jobs(1)).size() == 4);
  const std::string json = text_of(scratch / "out/why.json");
  const std::string csv = text_of(scratch / "out/why.csv");
  const std::vector<Why> whys = read_why(json);
  REQUIRE(whys.size() == 1);
  CHECK(whys[0].power_w == 0.2);
  double sum = 0.0;
  for (const CausePart& part : whys[0].parts) {
    sum += std::isfinite(part.rise_k.value) ? part.rise_k.value : 0.0;
  }
  REQUIRE(whys[0].parts.size() == 10);
  CHECK_THAT(sum, WithinAbs(whys[0].base_rise_k - whys[0].than_base_rise_k,
                            1e-12 * (whys[0].base_rise_k + whys[0].than_base_rise_k)));
  CHECK_THAT(csv, ContainsSubstring(",difference,"));

  std::filesystem::remove(scratch / "out/why.json");
  std::filesystem::remove(scratch / "out/why.csv");
  int solved = -1;
  CHECK(run_in(scratch / "out", text, one_job(true), [&](const Progress& progress) {
          solved = progress.done;
        }).size() == 4);
  CHECK(solved <= 0);
  CHECK(text_of(scratch / "out/why.json") == json);
  CHECK(text_of(scratch / "out/why.csv") == csv);
}

TEST_CASE("Run: skipped stability is said, and examined when a later run does not skip", "[run]") {
  const Scratch scratch("skipped");
  const std::string text = tiny_case_text("[0.1, 0.2]", R"(["upright"])");
  RunOptions quick = one_job(false);
  quick.examine_stability = false;
  const std::vector<Outcome> skipped = run_in(scratch / "out", text, quick);
  REQUIRE(skipped.size() == 2);
  for (const Outcome& outcome : skipped) {
    CHECK(outcome.stability.state == Stability::skipped);
    REQUIRE(outcome.warnings.size() == 1);
    CHECK_THAT(outcome.warnings[0], ContainsSubstring("stability was not examined"));
  }
  const ReportContext context = report_context(parse_case(text, "tiny.toml"));
  CHECK_THAT(trend_csv(make_trends(skipped, context)), ContainsSubstring("converged,no\n"));

  const auto resumed = [&](RunOptions options, int& solved) {
    options.resume = true;
    solved = 0;
    return run_in(scratch / "out", text, options,
                  [&](const Progress& progress) { solved = progress.done; });
  };
  int solved = 0;
  CHECK(resumed(quick, solved).size() == 2);
  CHECK(solved == 0);
  // One is examined; the other stays what it is and says so.
  RunOptions one = one_job(true);
  one.only = {"0.1w"};
  const std::vector<Outcome> mixed = resumed(one, solved);
  REQUIRE(mixed.size() == 2);
  CHECK(solved == 1);
  CHECK(mixed[0].stability.state == Stability::stable);
  CHECK(mixed[1].stability.state == Stability::skipped);
  CHECK(make_trends(mixed, context)[0].limit.skips_stability);
  // An examined one serves a run that skips, a skipped one no run that examines.
  const std::vector<Outcome> kept = resumed(quick, solved);
  CHECK(solved == 0);
  CHECK(kept[0].stability.state == Stability::stable);
  const std::vector<Outcome> examined = resumed(one_job(true), solved);
  CHECK(solved == 1);
  REQUIRE(examined.size() == 2);
  for (std::size_t k = 0; k < 2; ++k) {
    CHECK(examined[k].stability.state == Stability::stable);
    CHECK(examined[k].warnings.empty());
    CHECK_THAT(examined[k].base_rise_mean_k.value,
               WithinRel(skipped[k].base_rise_mean_k.value, 2e-3));
  }
  CHECK_THAT(trend_csv(make_trends(examined, context)), ContainsSubstring("converged,yes\n"));
}

TEST_CASE("Run: kept states can be read again, of a flow without a coarse partner too", "[run]") {
  const Scratch scratch("states");
  const std::string text = tiny_case_text("[0.1, 0.2]", R"(["flat-up"])");
  RunOptions options = jobs(1);
  options.keep_states = true;
  const std::vector<Outcome> outcomes = run_in(scratch / "out", text, options);
  REQUIRE(outcomes.size() == 2);
  const Case the_case = parse_case(text, "tiny.toml");
  const Section& section = the_case.panels[0].sections.front();
  const auto read = [&](const std::filesystem::path& path, double power) {
    return read_finest(path, the_case, section, {.gravity_x = -the_case.gravity, .power = power});
  };
  for (const Outcome& outcome : outcomes) {
    const std::string id = condition_id(outcome.panel, outcome.orientation, outcome.power_w);
    const std::optional<Solution> kept = read(state_file(scratch / "out", id), outcome.power_w);
    REQUIRE(kept.has_value());
    CHECK_THAT(solid_temperature(kept->problem, kept->state, section.base).mean -
                   the_case.room_temperature,
               WithinAbs(outcome.base_rise_mean_k.value, 1e-9));
    // As a flow has it that half the cells do not have.
    write_restart(scratch / "mean.state", the_case, *kept);
    const std::optional<Solution> alone =
        read_restart(scratch / "mean.state", the_case, section,
                     {.gravity_x = -the_case.gravity, .power = outcome.power_w});
    REQUIRE(alone.has_value());
    CHECK_FALSE(alone->coarse_problem.has_value());
    REQUIRE(read(scratch / "mean.state", outcome.power_w).has_value());
    CHECK(read(scratch / "mean.state", outcome.power_w)->state.psi == kept->state.psi);
  }
  CHECK_FALSE(read(scratch / "none.state", 0.1).has_value());
}

TEST_CASE("Run: a damaged state is nothing, whatever its bytes", "[run]") {
  const Scratch scratch("damaged-state");
  const std::string text = tiny_case_text("[0.1]", R"(["upright"])");
  const std::vector<Outcome> outcomes = run_in(scratch / "out", text, jobs(1));
  REQUIRE(outcomes.size() == 1);
  const Case the_case = parse_case(text, "tiny.toml");
  const Condition condition{.gravity_y = -the_case.gravity, .power = 0.1};
  const std::filesystem::path file =
      restart_file(scratch / "out", condition_id("as-drawn", "upright", 0.1));
  const std::string whole =
      read_stored_bytes(file, crc32_of_case(the_case), "the state of a condition");
  const auto reads = [&](const std::string& bytes) { // past the checksum
    write_stored_bytes(file, bytes, crc32_of_case(the_case));
    const Section& section = the_case.panels[0].sections.front();
    return read_restart(file, the_case, section, condition).has_value();
  };
  REQUIRE(reads(whole));
  // Film temperature, upwinding, ratio of the meshes, the length of psi and its first value.
  const std::size_t head = whole.find('\n') + 1;
  for (const std::size_t place : {0U, 1U, 2U, 3U, 4U}) {
    for (const double value :
         {tiltfin::nan, -1.0, 0.0, 1e-300, 1e300, std::numeric_limits<double>::max()}) {
      if (place == 4 && std::isfinite(value)) {
        continue; // a stream function can be any number
      }
      CAPTURE(place, value);
      std::string damaged = whole;
      std::memcpy(damaged.data() + head + place * sizeof value, &value, sizeof value);
      const bool is_upwinding = place == 1 && value > 0.0;
      CHECK(reads(damaged) == is_upwinding);
    }
  }
  CHECK_FALSE(reads(whole + '\0'));
  CHECK_FALSE(reads(whole.substr(0, whole.size() - 1)));
}

TEST_CASE("Run: from a neighbour whose surfaces radiate otherwise come rise and error as from rest",
          "[run]") {
  const Scratch scratch("run-neighbour");
  const std::string black = tiny_case_text("[0.2]", R"(["upright"])");
  const Case bare = parse_case(edited(black, "emissivity = 0.8", "emissivity = 0.1"), "bare.toml");
  const Case neighbour = parse_case(black, "black.toml");
  RunOptions options = one_job(false);
  options.examine_stability = false;
  options.directory = scratch / "black";
  CHECK(run_case(neighbour, options, {}).outcomes.size() == 1);
  options.directory.clear();
  const Outcome from_rest = run_case(bare, options, {}).outcomes.front();
  options.neighbours = {{&neighbour, scratch / "black"}};
  const Outcome warm = run_case(bare, options, {}).outcomes.front();
  CHECK(warm.factorisations < from_rest.factorisations); // it did start from there
  // Both starts stop at film temperatures up to the solver's tolerance apart, far below 0.1 % of
  // the rise; the coarse mesh with the neighbour's surfaces would be wrong by tens of per cent.
  CHECK_THAT(warm.base_rise_mean_k.value, WithinRel(from_rest.base_rise_mean_k.value, 1e-3));
  CHECK_THAT(warm.base_rise_mean_k.error, WithinRel(from_rest.base_rise_mean_k.error, 0.02));
}

TEST_CASE("Run: a directory that cannot be written is reported as such", "[run]") {
  const Scratch scratch("blocked");
  put(scratch / "out", "a file where the directory should be");
  CHECK_THROWS_AS(run_in(scratch / "out", tiny_case_text("[0.1]", R"(["upright"])"), {}),
                  std::runtime_error);
}
