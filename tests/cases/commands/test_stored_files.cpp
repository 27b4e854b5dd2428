// Files of results that are not as they were written: what every command that reads them says.

#include "cases/file/stored.hpp"
#include "cases/run/restart.hpp"
#include "cases/run/results.hpp"
#include "cases/run/run.hpp"
#include "post/reports/summary.hpp"
#include "post/text/json.hpp"
#include "tests/cases/case_texts.hpp"
#include "tests/cases/commands/program_run.hpp"
#include "tests/catch.hpp"

#include <cctype>
#include <cmath>
#include <random>

using namespace tiltfin;
using namespace tiltfin::tests;

namespace {

namespace fs = std::filesystem;

const std::string two_by_two = tiny_case_text("[0.1, 0.2]", R"(["upright", "flat-up"])");
const std::string one_condition = "as-drawn_upright_0.1w";

/// The same conditions of a block that conducts a little better.
std::string better(const std::string& text) {
  return edited(text, "conductivity_w_per_mk = 10", "conductivity_w_per_mk = 11");
}

std::vector<std::string> solving(const std::string& file, const std::string& directory,
                                 const std::vector<std::string>& more = {}) {
  std::vector<std::string> words{
      "solve", file, "-o", directory, "--jobs", "1", "--skip-stability", "--listed-powers-only"};
  words.insert(words.end(), more.begin(), more.end());
  return words;
}

/// The first digit after `mark` becomes another one.
std::string with_other_digit(std::string text, const std::string& mark) {
  std::size_t place = text.find(mark);
  REQUIRE(place != std::string::npos);
  for (place += mark.size(); std::isdigit(static_cast<unsigned char>(text.at(place))) == 0;) {
    ++place;
  }
  text[place] = text[place] == '9' ? '1' : static_cast<char>(text[place] + 1);
  return text;
}

std::string with_other_bit(std::string bytes) {
  bytes[bytes.size() / 2] = static_cast<char>(bytes[bytes.size() / 2] ^ 4);
  return bytes;
}

/// As an earlier version wrote it: without what is said of the file itself.
std::string of_older_version(const fs::path& path) {
  const std::string text = text_of(path);
  if (path.extension() != ".json") {
    return text.substr(0, text.rfind("\n<!-- stored as"));
  }
  const std::size_t place = text.rfind(",\n  \"stored\"");
  REQUIRE(place != std::string::npos);
  return text.substr(0, place) + "\n}\n";
}

/// A settled rise of 3 K at 0.1 W, made up.
void put_log(const fs::path& path) {
  std::string log = "t_s,core,room\n";
  for (int k = 0; k < 7200; k += 10) {
    log += std::to_string(k) + "," + std::to_string(23.0 - 3.0 * std::exp(-k / 600.0)) + ",20\n";
  }
  put(path, log);
}

/// A stored file, how to change it, and the commands that read it.
struct Read {
  std::string file;
  std::string mark; ///< of the digit; empty: any bit
  std::vector<std::vector<std::string>> commands;
};

const std::vector<Read> all_reads{
    {"summary.json",
     "rise_error_k\": ",
     {{"report", "out"},
      {"compare", "out", "log.csv", "--temperature", "core", "--ambient", "room", "--power-w",
       "0.1", "--orientation", "upright"}}},
    {"why.json", "\"rise_k\": ", {{"report", "out"}}},
    {"conditions/" + one_condition + ".json",
     "rise_error_k\": ",
     {{"rank", "out", "other", "-o", "ranked"},
      {"animate", "out"},
      {"levers", "tiny.toml", "--from", "out", "-o", "levers"}}},
    {"fields/" + one_condition + ".vtr", "", {{"animate", "out", "--only", one_condition}}}};

} // namespace

TEST_CASE("Stored files: a command refuses by name what is changed, of another case or older",
          "[stored_files]") {
  const Scratch scratch("stored");
  put(scratch / "tiny.toml", two_by_two);
  put(scratch / "other.toml", better(two_by_two));
  put_log(scratch / "log.csv");
  REQUIRE(Run(scratch / "", solving("tiny.toml", "out")).end() == 0);
  REQUIRE(Run(scratch / "", solving("other.toml", "other", {"--only", one_condition})).end() == 0);
  for (const Read& read : all_reads) {
    CAPTURE(read.file);
    const fs::path path = scratch / "out" / read.file;
    const std::string good = text_of(path);
    const std::vector<std::pair<std::string, std::string>> all_bad{
        {read.mark.empty() ? with_other_bit(good) : with_other_digit(good, read.mark),
         "contents that changed"},
        {text_of(scratch / "other" / read.file), "another case"},
        {of_older_version(path), "older version"}};
    for (const auto& [bad, words] : all_bad) {
      CAPTURE(words);
      REQUIRE(bad != good);
      put(path, bad);
      for (const std::vector<std::string>& command : read.commands) {
        CAPTURE(command.front());
        const Run run(scratch / "", command);
        CHECK(run.end() == 2);
        CHECK_THAT(run.err(), ContainsSubstring(fs::path(read.file).filename().string()) &&
                                  ContainsSubstring("found") && ContainsSubstring(words) &&
                                  ContainsSubstring("allowed"));
        CHECK(run.out().empty());
      }
    }
    put(path, good);
  }
  for (const char* made : {"ranked", "levers", "out/animations"}) {
    CHECK_FALSE(fs::exists(scratch / made));
  }
  // Of the same case, but another condition.
  const fs::path conditions = scratch / "out/conditions";
  fs::copy_file(conditions / "as-drawn_upright_0.2w.json", conditions / (one_condition + ".json"),
                fs::copy_options::overwrite_existing);
  const Run mixed(scratch / "", {"rank", "out", "other", "-o", "ranked"});
  CHECK(mixed.end() == 2);
  CHECK_THAT(mixed.err(), ContainsSubstring(one_condition + ".json: found what was written as "
                                                            "as-drawn_upright_0.2w.json"));
}

TEST_CASE("Stored files: resuming names what is not as it was written and solves it again",
          "[stored_files]") {
  const Scratch scratch("stored-resume");
  const std::string two_powers = tiny_case_text("[0.1, 0.2]", R"(["upright"])");
  put(scratch / "tiny.toml", two_powers);
  put(scratch / "other.toml", better(two_powers));
  REQUIRE(Run(scratch / "", solving("tiny.toml", "out")).end() == 0);
  REQUIRE(Run(scratch / "", solving("other.toml", "other", {"--only", one_condition})).end() == 0);
  const fs::path path = scratch / "out/conditions" / (one_condition + ".json");
  const std::string good = text_of(path);
  const std::string summary = text_of(scratch / "out/summary.json");
  for (const std::string& bad :
       {with_other_digit(good, "base_rise_mean_k\": "), of_older_version(path),
        text_of(scratch / "other/conditions" / (one_condition + ".json"))}) {
    put(path, bad);
    put(scratch / "out/summary.json", "{}");
    put(scratch / "out/levers.json", "{}");
    const Run run(scratch / "", solving("tiny.toml", "out", {"--resume"}));
    CHECK(run.end() == 0);
    CHECK_THAT(run.err(), ContainsSubstring("out/conditions/" + one_condition + ".json: found") &&
                              ContainsSubstring(": solved again"));
    CHECK_THAT(run.err(), ContainsSubstring("out: levers.json: found no checksum") &&
                              ContainsSubstring("left out of the page"));
    CHECK((text_of(path) == good));
    CHECK((text_of(scratch / "out/summary.json") == summary));
  }
  fs::remove(scratch / "out/levers.json");
  // Where it is not to be solved, it is left out.
  put(path, with_other_digit(good, "base_rise_mean_k\": "));
  const Run only(scratch / "", solving("tiny.toml", "out", {"--only", "0.2w"}));
  CHECK(only.end() == 0);
  CHECK_THAT(only.err(), ContainsSubstring(one_condition + ".json: found") &&
                             ContainsSubstring(": left out of the tables"));
  CHECK(rows_of(scratch / "out/summary.csv").size() == 1 + 1);
  // A page that draws its pictures anew leaves them out, too, and says so.
  fs::remove_all(scratch / "out/sheets");
  const fs::path fields = scratch / "out/fields/as-drawn_upright_0.2w.vtr";
  put(fields, with_other_bit(text_of(fields)));
  const Run report(scratch / "", {"report", "out"});
  CHECK(report.end() == 0);
  CHECK_THAT(report.err(), ContainsSubstring(one_condition + ".json: found") &&
                               ContainsSubstring("as-drawn_upright_0.2w: not drawn"));
}

TEST_CASE("Stored files: resuming solves again what has damaged fields", "[stored_files]") {
  const Scratch scratch("stored-fields");
  put(scratch / "tiny.toml", tiny_case_text("[0.1]", R"(["upright"])"));
  REQUIRE(Run(scratch / "", solving("tiny.toml", "out")).end() == 0);
  const fs::path fields = scratch / "out/fields" / (one_condition + ".vtr");
  const std::string good = text_of(fields);
  put(fields, with_other_bit(good));
  const Run damaged(scratch / "", solving("tiny.toml", "out", {"--resume"}));
  CHECK(damaged.end() == 0);
  CHECK_THAT(damaged.err(),
             ContainsSubstring(one_condition + ".vtr: found contents that changed") &&
                 ContainsSubstring(": solved again"));
  CHECK((text_of(fields) == good));
  fs::remove(fields); // to save space, say
  const Run without(scratch / "", solving("tiny.toml", "out", {"--resume"}));
  CHECK(without.end() == 0);
  CHECK_THAT(without.err(), !ContainsSubstring("solved again"));
  CHECK_FALSE(fs::exists(fields));
}

TEST_CASE("Stored files: a page shows no chart or table that was changed", "[stored_files]") {
  const Scratch scratch("stored-shown");
  put(scratch / "tiny.toml", tiny_case_text("[0.1]", R"(["upright"])"));
  put_log(scratch / "log.csv");
  REQUIRE(Run(scratch / "", solving("tiny.toml", "out")).end() == 0);
  REQUIRE(Run(scratch / "", {"bench", "log.csv", "--temperature", "core", "--ambient", "room",
                             "--power-w", "0.1", "-o", "out"})
              .end() == 0);
  const std::vector<std::string> report{"report", "out"};
  REQUIRE(Run(scratch / "", report).end() == 0);
  const std::string page = text_of(scratch / "out/report.html");
  for (const std::string name : {"bench.csv", "bench.svg", "sheets/0.1w.svg", "shown.json"}) {
    CAPTURE(name);
    const fs::path path = scratch / "out" / name;
    const std::string good = text_of(path);
    put(path, with_other_digit(good, name == "shown.json" ? "bench.svg\": \"" : ""));
    const Run changed(scratch / "", report);
    CHECK(changed.end() == 2);
    CHECK_THAT(changed.err(), ContainsSubstring(name) &&
                                  ContainsSubstring("contents that changed") &&
                                  ContainsSubstring("allowed"));
    put(path, good);
  }
  CHECK((text_of(scratch / "out/report.html") == page));
  const fs::path list = scratch / "out/shown.json";
  const std::string kept = text_of(list);
  fs::remove(list);
  const Run without(scratch / "", report);
  CHECK(without.end() == 2);
  CHECK_THAT(without.err(), ContainsSubstring("found no checksum in shown.json"));
  // Solving draws sheets anew and says what of others it leaves out.
  const Run resumed(scratch / "", solving("tiny.toml", "out", {"--resume"}));
  CHECK(resumed.end() == 0);
  CHECK_THAT(resumed.err(), ContainsSubstring("bench.csv") && !ContainsSubstring("sheets/"));
  CHECK_FALSE((text_of(list) == kept));
}

TEST_CASE("Stored files: nothing starts from a restart that is not as it was written",
          "[stored_files]") {
  const Scratch scratch("stored-restart");
  const std::string one = tiny_case_text("[0.1]", R"(["upright"])");
  put(scratch / "one.toml", one);
  put(scratch / "two.toml", tiny_case_text("[0.1, 0.2]", R"(["upright"])"));
  put(scratch / "other.toml", better(one));
  REQUIRE(Run(scratch / "", solving("one.toml", "one")).end() == 0);
  REQUIRE(Run(scratch / "", solving("other.toml", "other")).end() == 0);
  REQUIRE(Run(scratch / "", solving("two.toml", "rest", {"--only", "0.2w"})).end() == 0);
  const char* result = "conditions/as-drawn_upright_0.2w.json";
  const std::string from_rest = text_of(scratch / "rest" / result);
  const std::string restart = "conditions/" + one_condition + ".restart";
  const std::string good = text_of(scratch / "one" / restart);
  REQUIRE(good.size() > 1000);
  const auto resumed_with = [&](const std::string& bytes) {
    fs::remove_all(scratch / "out");
    fs::copy(scratch / "one", scratch / "out", fs::copy_options::recursive);
    put(scratch / "out" / restart, bytes);
    const Run run(scratch / "", solving("two.toml", "out", {"--resume"}));
    CHECK(run.end() == 0);
    return run.err();
  };
  CHECK_THAT(resumed_with(good), !ContainsSubstring(".restart"));
  CHECK_FALSE((text_of(scratch / "out" / result) == from_rest)); // fewer steps
  const std::vector<std::pair<std::string, std::string>> all_bad{
      {with_other_bit(good), "contents that changed"},
      {of_older_version(scratch / "one" / restart), "older version"},
      {text_of(scratch / "other" / restart), "another case"}};
  for (const auto& [bad, words] : all_bad) {
    CAPTURE(words);
    CHECK_THAT(resumed_with(bad), ContainsSubstring("out/" + restart + ": found") &&
                                      ContainsSubstring(words) &&
                                      ContainsSubstring("nothing starts from it"));
    CHECK((text_of(scratch / "out" / result) == from_rest));
  }
}

TEST_CASE("Stored files: from a restart that does not converge it is solved from rest",
          "[stored_files]") {
  const Scratch scratch("stored-nonsense");
  const Case one = case_of(tiny_case_text("[0.1]", R"(["upright"])"));
  RunOptions options;
  options.directory = scratch / "out";
  options.jobs = 1;
  options.examine_stability = false;
  (void)run_case(one, options, {});
  const fs::path path = restart_file(scratch / "out", one_condition);
  const Section& section = one.panels[0].sections.front();
  std::optional<Solution> solution =
      read_restart(path, one, section, {.gravity_y = -one.gravity, .power = 0.1});
  REQUIRE(solution.has_value());
  REQUIRE(solution->coarse_state.has_value());
  std::mt19937 random(1);
  for (State* state : {&solution->state, &*solution->coarse_state}) {
    for (std::vector<double>* values : {&state->psi, &state->temperature}) {
      for (double& value : *values) { // each cell another way, far from all that air does
        value = 1e6 * (static_cast<double>(random()) / static_cast<double>(std::mt19937::max()));
      }
    }
  }
  write_restart(path, one, *solution);
  const Case two = case_of(tiny_case_text("[0.1, 0.2]", R"(["upright"])"));
  options.resume = true;
  const CaseResults resumed = run_case(two, options, {});
  REQUIRE(resumed.remarks.size() == 1);
  CHECK_THAT(resumed.remarks[0],
             ContainsSubstring(path.string()) &&
                 ContainsSubstring("did not converge from it: solved from rest"));
  options.directory = scratch / "rest";
  options.only = {"0.2w"};
  const CaseResults from_rest = run_case(two, options, {});
  REQUIRE(resumed.outcomes.size() == 2);
  REQUIRE(from_rest.outcomes.size() == 1);
  // Up to the tolerance of the film temperature, 0.02 K of some 10 K.
  CHECK_THAT(resumed.outcomes[1].base_rise_mean_k.value,
             WithinRel(from_rest.outcomes[0].base_rise_mean_k.value, 2e-3));
}

TEST_CASE("Stored files: no changed byte gives other numbers", "[stored_files]") {
  const Scratch scratch("stored-bytes");
  const Case the_case = case_of(tiny_case_text("[0.1]", R"(["upright"])"));
  RunOptions options;
  options.directory = scratch / "out";
  options.jobs = 1;
  options.examine_stability = false;
  (void)run_case(the_case, options, {});
  const std::string of_case = crc32_of_case(the_case);
  CHECK(crc32_of_case_in(scratch / "out") == of_case);
  const fs::path condition = scratch / "out/conditions" / (one_condition + ".json");
  const fs::path summary = scratch / "out/summary.json";
  const fs::path restart = restart_file(scratch / "out", one_condition);
  /// All that the program takes from a file; throws where it takes nothing.
  const auto taken = [&](const fs::path& path) {
    if (path == restart) {
      return read_stored_bytes(path, of_case, "a state");
    }
    if (path == condition) {
      return outcome_to_json(finished_outcome(scratch / "out", the_case, one_condition).value());
    }
    const SolvedResults solved = read_solved(read_stored_json(path, of_case, "a summary"));
    return summary_json(solved.outcomes, make_trends(solved.outcomes, solved.context),
                        solved.context);
  };
  constexpr int n_changes = 300;
  std::mt19937 random(20);
  for (const fs::path& path : {condition, summary, restart}) {
    CAPTURE(path.string());
    const std::string good = text_of(path);
    const std::string expected = taken(path);
    int n_refused = 0;
    for (int k = 0; k < n_changes; ++k) {
      std::string bad = good;
      const std::size_t place = random() % bad.size();
      const bool is_digit = std::isdigit(static_cast<unsigned char>(bad[place])) != 0;
      bad[place] = is_digit ? static_cast<char>('0' + (bad[place] - '0' + 1 + random() % 9) % 10)
                            : static_cast<char>(random() % 256);
      put(path, bad);
      try {
        if (taken(path) != expected) {
          FAIL_CHECK("byte " << place << " as " << static_cast<int>(bad[place]));
        }
      } catch (const StoredInputError& error) {
        ++n_refused;
        CHECK_THAT(error.what(), ContainsSubstring(path.string() + ": found"));
      }
    }
    put(path, good);
    CHECK(n_refused > n_changes / 2); // of a JSON, blanks are free
  }
}
