// Studies: which variants there are, in which share they are solved, and that it does not matter.

#include "cases/study/plan.hpp"
#include "cases/study/slurm.hpp"
#include "cases/study/study.hpp"
#include "mesh/index.hpp"
#include "tests/cases/commands/program_run.hpp"
#include "tests/cases/study/same_files.hpp"
#include "tests/catch.hpp"

#include <algorithm>
#include <map>
#include <set>

using namespace tiltfin;
using namespace tiltfin::tests;

namespace {

namespace fs = std::filesystem;

const std::string small_study = R"(title = "how black"
case = "tiny.toml"
[vary]
solid.block.emissivity = [0.1, 0.5, 0.9]
solid.block.conductivity_w_per_mk = { from = 10, to = 30, step = 20 }
)";

void put_study(const Scratch& scratch, const std::string& text) {
  put(scratch / "tiny.toml", tiny_case_text("[0.1]", R"(["upright"])"));
  put(scratch / "study.toml", text);
}

Study study_of(const Scratch& scratch, const std::string& text) {
  put_study(scratch, text);
  return read_study(scratch / "study.toml");
}

std::vector<std::string> studying(const std::string& directory,
                                  const std::vector<std::string>& more = {}) {
  std::vector<std::string> words{
      "study",  "study.toml", "-o", directory, "--skip-stability", "--listed-powers-only",
      "--jobs", "1"};
  words.insert(words.end(), more.begin(), more.end());
  return words;
}

} // namespace

TEST_CASE("Study: every combination of lists and ranges, the last key fastest", "[study]") {
  const Scratch scratch("study-values");
  const Study study = study_of(scratch, small_study);
  REQUIRE(n_variants(study) == 6);
  using Values = std::vector<std::string>;
  CHECK(values_of(study, 0) == Values{"10", "0.1"}); // conductivity comes before emissivity
  CHECK(values_of(study, 1) == Values{"10", "0.5"});
  CHECK(values_of(study, 5) == Values{"30", "0.9"});
  const Case last = variant_of(study, 5);
  const Solid& block = last.panels[0].sections[0].solids[0];
  CHECK(block.conductivity_x == 30.0);
  CHECK(block.emissivity == 0.9);
}

TEST_CASE("Study: a range ends where it is told to, whatever the rounding", "[study]") {
  const Scratch scratch("study-range");
  const Study study = study_of(scratch, "case = \"tiny.toml\"\n[vary]\nsolid.block.emissivity = { "
                                        "from = 0.1, to = 0.7, step = 0.1 }\n");
  REQUIRE(n_variants(study) == 7);
  CHECK(values_of(study, 2) == std::vector<std::string>{"0.3"}); // not 0.30000000000000004
  CHECK(values_of(study, 6) == std::vector<std::string>{"0.7"});
}

TEST_CASE("Study: rows have values of their own, others stay the base's", "[study]") {
  const Scratch scratch("study-rows");
  const Study study = study_of(scratch, R"(case = "tiny.toml"
[[row]]
solid.block.emissivity = 0.2
[[row]]
conditions.powers_w = [0.3, 0.4]
solid.block.emissivity = 0.3
[[row]]
conditions.powers_w = [0.3, 0.4]
)");
  REQUIRE(n_variants(study) == 3);
  const auto is = [&](int number, double emissivity, const std::vector<double>& powers) {
    const Case the_case = variant_of(study, number);
    CHECK(the_case.panels[0].sections[0].solids[0].emissivity == emissivity);
    CHECK(the_case.powers == powers);
  };
  is(0, 0.2, {0.1});
  is(1, 0.3, {0.3, 0.4});
  is(2, 0.8, {0.3, 0.4});
}

TEST_CASE("Study: what is wrong with its file is told with line and key", "[study]") {
  const Scratch scratch("study-refusals");
  const std::vector<std::pair<std::string, std::string>> all{
      {"[vary]\na.b = [1]\n", "study.toml:1: key 'case': found nothing"},
      {"case = \"tiny.toml\"\n", "study.toml:1: key 'vary': found neither [vary] nor [[row]]"},
      {"case = \"tiny.toml\"\nbogus = 1\n[vary]\na.b = [1]\n", "study.toml:2: key 'bogus'"},
      {"case = \"tiny.toml\"\n[vary]\nroom.temperature_c = 25\n",
       "study.toml:3: key 'room.temperature_c': found 25, allowed a list"},
      {"case = \"tiny.toml\"\n[vary]\nroom.temperature_c = []\n", "found 0 values"},
      {"case = \"tiny.toml\"\n[vary]\nroom.temperature_c = { from = 1, to = 0, step = 1 }\n",
       "found from 1 to 0 in steps of 1"},
      {"case = \"tiny.toml\"\n[vary]\nroom.temperature_c = { from = 1, to = 2, step = 0 }\n",
       "in steps of 0"},
      {"case = \"tiny.toml\"\n[vary]\nroom.temperature_c = { from = 1, upto = 2, step = 1 }\n",
       "found upto"},
      {"case = \"tiny.toml\"\n[vary]\n\"a.b\" = [1]\na.b = [2]\n", "found the key twice"},
      {"case = \"tiny.toml\"\n[vary]\n", "found no key in it"},
      {"case = \"tiny.toml\"\n[vary]\na.b = { from = 1, to = 1000, step = 1 }\nb.b = { from = 1, "
       "to = "
       "1000, step = 1 }\nc.b = [1, 2]\n",
       "found 2e+06 combinations"}};
  for (const auto& [text, said] : all) {
    CAPTURE(text);
    CHECK_THROWS_WITH(study_of(scratch, text), ContainsSubstring(said));
  }
}

TEST_CASE("Study: impossible variants are left out with their reason, and refused when all are",
          "[study]") {
  const Scratch scratch("study-impossible");
  const Study some =
      study_of(scratch, "case = \"tiny.toml\"\n[vary]\nsolid.block.emissivity = [0.5, "
                        "7]\nsection.depth_mm = [10, 20]\n");
  const StudyPlan plan = plan_study(some, {});
  CHECK(std::ranges::count(plan.variants, "", &PlannedVariant::refusal) == 2);
  CHECK(plan.n_conditions == 2);
  const std::string text = plan_text(some, plan, 2);
  CHECK_THAT(text, ContainsSubstring("2 variants, 2 conditions") &&
                       ContainsSubstring("2 impossible, left out") &&
                       ContainsSubstring("solid.block.emissivity = 7, and 1 more") &&
                       ContainsSubstring("allowed"));
  const Study none =
      study_of(scratch, "case = \"tiny.toml\"\n[vary]\nsolid.block.emisivity = [0.5]\n");
  CHECK_THROWS_WITH(plan_study(none, {}), ContainsSubstring("found no variant that fits") &&
                                              ContainsSubstring("emisivity"));
  const Study unnamed =
      study_of(scratch, "case = \"tiny.toml\"\n[vary]\nsolid.brick.emissivity = [0.5]\n");
  CHECK_THROWS_WITH(plan_study(unnamed, {}), ContainsSubstring("named 'brick'"));
}

TEST_CASE("Study: shares have every possible variant once and cost about the same", "[study]") {
  StudyPlan plan;
  for (int k = 0; k < 500; ++k) {
    plan.variants.push_back({k, 1, 1.0 + (k * 37) % 100, k % 50 == 7 ? "impossible" : "", ""});
  }
  for (const int n : {1, 2, 7, 64}) {
    CAPTURE(n);
    std::multiset<int> numbers;
    double least = 1e300;
    double most = 0.0;
    for (int k = 1; k <= n; ++k) {
      const std::vector<int> own = variants_in(plan, {k, n});
      numbers.insert(own.begin(), own.end());
      least = std::min(least, seconds_of(plan, {k, n}));
      most = std::max(most, seconds_of(plan, {k, n}));
    }
    CHECK(numbers.size() == 490);
    CHECK(std::set<int>(numbers.begin(), numbers.end()).size() == 490);
    CHECK(most - least <=
          100.0); // the dearest variant: what giving each to the least loaded leaves
  }
  CHECK_THROWS_WITH(share_in("0/4", "--share"), ContainsSubstring("--share: found '0/4', allowed"));
  for (const char* wrong : {"5/4", "1", "1/", "a/b", "1/4x", "1/4/5", "-1/4", ""}) {
    CHECK_THROWS_AS(share_in(wrong, "--share"), InputError);
  }
  CHECK(share_in("3/4", "--share").number == 3);
}

TEST_CASE("Study: shares merged in any order are the bytes of one run", "[study]") {
  const Scratch scratch("study-merge");
  put_study(scratch, small_study);
  REQUIRE(Run(scratch / "", studying("whole")).end() == 0);
  const std::map<std::string, std::string> whole = all_files(scratch / "whole");
  REQUIRE(whole.contains("study.csv"));
  REQUIRE(whole.contains("variants/000/000005.json"));
  for (const char* k : {"1", "2", "3"}) {
    const Run share(scratch / "",
                    studying("share" + std::string(k), {"--share", k + std::string("/3")}));
    CHECK(share.end() == 0);
    CHECK_THAT(share.out(), ContainsSubstring("is done. When all are: tiltfin merge"));
    CHECK_FALSE(fs::exists(scratch / "share1/study.csv"));
  }
  // One share is missing: what is there is told, and so is what is not.
  const Run part(scratch / "", {"merge", "share3", "share1", "-o", "merged"});
  CHECK(part.end() == 3);
  CHECK_THAT(part.err(), ContainsSubstring("found 2 of 6 variants without a result"));
  CHECK(Run(scratch / "", {"merge", "merged", "share2"}).end() == 0);
  CHECK((all_files(scratch / "merged") == whole));
  CHECK(Run(scratch / "", {"merge", "share2", "share1", "share3", "-o", "other"}).end() == 0);
  CHECK((all_files(scratch / "other") == whole));
}

TEST_CASE("Study: a check needs no directory and leaves none", "[study]") {
  const Scratch scratch("study-check");
  put_study(scratch, small_study);
  const Run check(scratch / "", {"study", "study.toml", "--check"});
  CHECK(check.end() == 0);
  CHECK_THAT(check.out(), ContainsSubstring("6 variants, 6 conditions"));
  CHECK(all_files(scratch / "").size() == 4); // the two files, and what the run printed
  const Run nowhere(scratch / "", {"study", "study.toml"});
  CHECK(nowhere.end() == 2);
  CHECK_THAT(nowhere.err(), ContainsSubstring("--output: found nothing, allowed a directory"));
}

TEST_CASE("Study: what is finished is kept, what is damaged is named and solved again", "[study]") {
  const Scratch scratch("study-resume");
  put_study(scratch, small_study);
  REQUIRE(Run(scratch / "", studying("out")).end() == 0);
  const std::map<std::string, std::string> whole = all_files(scratch / "out");
  const fs::path first = scratch / "out/variants/000/000000.json";
  const fs::path second = scratch / "out/variants/000/000001.json";
  const fs::file_time_type written = fs::last_write_time(second);
  std::string bad = text_of(first);
  const std::size_t digit = bad.find_first_of("123456789", bad.find("base_rise_mean_k"));
  bad[digit] = bad[digit] == '1' ? '2' : '1';
  put(first, bad);
  const Run merge(scratch / "", {"merge", "out", "-o", "elsewhere"});
  CHECK(merge.end() == 2);
  CHECK_THAT(merge.err(), ContainsSubstring("000000.json: found contents that changed"));
  const Run again(scratch / "", studying("out"));
  CHECK(again.end() == 0);
  CHECK_THAT(again.err(), ContainsSubstring("000000.json: found contents that changed") &&
                              ContainsSubstring("solved again") &&
                              ContainsSubstring("variant 000001 kept"));
  CHECK((all_files(scratch / "out") == whole));
  CHECK(fs::last_write_time(second) == written);
  // A variant's file under the number of another.
  fs::copy_file(second, first, fs::copy_options::overwrite_existing);
  CHECK(Run(scratch / "", studying("out")).end() == 0);
  CHECK((all_files(scratch / "out") == whole));
  // Another study does not touch it.
  put(scratch / "study.toml", small_study + "room.temperature_c = [20]\n");
  const Run other(scratch / "", studying("out"));
  CHECK(other.end() == 2);
  CHECK_THAT(other.err(), ContainsSubstring("holds another study"));
  CHECK((all_files(scratch / "out") == whole));
}

TEST_CASE("Shares: a case solved in parts is merged to the bytes of one run", "[study]") {
  const Scratch scratch("case-shares");
  put(scratch / "tiny.toml", tiny_case_text("[0.1, 0.2]", R"(["upright", "flat-up"])"));
  const auto solving = [](const std::string& directory, const std::vector<std::string>& more) {
    std::vector<std::string> words{"solve", "tiny.toml",       "-o", directory, "--jobs",
                                   "1",     "--skip-stability"};
    words.insert(words.end(), more.begin(), more.end());
    return words;
  };
  REQUIRE(Run(scratch / "", solving("whole", {})).end() == 0);
  REQUIRE(Run(scratch / "", solving("one", {"--share", "1/2"})).end() == 0);
  const Run part(scratch / "", {"merge", "one", "-o", "part"});
  CHECK(part.end() == 3);
  CHECK_THAT(part.err(), ContainsSubstring("conditions without a result"));
  REQUIRE(Run(scratch / "", solving("two", {"--share", "2/2"})).end() == 0);
  const Run merge(scratch / "", {"merge", "two", "one", "-o", "merged"});
  CHECK(merge.end() == 0);
  check_same_files(scratch / "merged", scratch / "whole", 20);
  for (const std::vector<std::string>& wrong :
       {solving("x", {"--share", "1/4"}), solving("x", {"--share", "1/2", "--only", "upright"}),
        solving("x", {"--share", "1/2", "--tilts", "0,10,20"})}) {
    const Run run(scratch / "", wrong);
    CHECK(run.end() == 2);
    CHECK_THAT(run.err(), ContainsSubstring("--share: found ") && ContainsSubstring("allowed"));
    CHECK_FALSE(fs::exists(scratch / "x"));
  }
  put(scratch / "tiny.toml", tiny_case_text("[0.1]", R"(["upright"])"));
  REQUIRE(Run(scratch / "", solving("other", {})).end() == 0);
  CHECK(Run(scratch / "", {"merge", "one", "other", "-o", "mixed"}).end() == 2);
}

TEST_CASE("Study: with --keep-files every variant is a directory of results", "[study]") {
  const Scratch scratch("study-keep");
  put_study(scratch, "case = \"tiny.toml\"\n[vary]\nsolid.block.emissivity = [0.1, 0.9]\n");
  REQUIRE(Run(scratch / "", studying("out", {"--keep-files"})).end() == 0);
  CHECK(fs::exists(scratch / "out/solved/000/000001/sheets/0.1w.svg"));
  CHECK(Run(scratch / "", {"report", "out/solved/000/000001"}).end() == 0); // its case is its own
  REQUIRE(Run(scratch / "", studying("plain")).end() == 0);
  CHECK(text_of(scratch / "out/variants/000/000001.json") ==
        text_of(scratch / "plain/variants/000/000001.json"));
}

TEST_CASE("Study: the script for Slurm is one that a shell reads, with shares, rerun and merge",
          "[study]") {
  const Scratch scratch("study-slurm");
  put_study(scratch, small_study);
  const Run run(scratch / "", studying("it's", {"--slurm", "submit.sh", "--shares", "3"}));
  CHECK(run.end() == 0);
  CHECK_FALSE(fs::exists(scratch / "it's"));
  // A batch engine that only writes down what it is given.
  put(scratch / "sbatch", "#!/bin/sh\n{ echo \"$@\"; cat; } >>asked\necho 7\n");
  const Run submit = Run::in_shell(scratch / "", "chmod +x sbatch; PATH=.:$PATH sh submit.sh");
  CHECK(submit.end() == 0);
  const std::string asked = text_of(scratch / "asked");
  CHECK_THAT(asked, ContainsSubstring("--array=1-3") &&
                        ContainsSubstring("--dependency=afterany:7") &&
                        ContainsSubstring("--share \"$SLURM_ARRAY_TASK_ID/3\"") &&
                        ContainsSubstring("it's") && ContainsSubstring(" merge "));
}
