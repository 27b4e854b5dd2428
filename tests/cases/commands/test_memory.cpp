// Memory that runs out at every so many-th allocation of small runs of the program.
#include "tests/cases/commands/program_run.hpp"
#include "tests/catch.hpp"

#include <algorithm>
#include <map>

namespace tiltfin::tests {
namespace {

namespace fs = std::filesystem;

constexpr const char* small_solve =
    "solve tiny.toml -o out --jobs 1 --skip-stability --listed-powers-only";
constexpr long endless = 1'000'000'000;

/// Runs the program with allocations `from` to `to` failing; 0: none. Hung after 60 s: -SIGKILL.
Run failing(const Scratch& scratch, const std::string& words, long from, long to) {
  return Run::in_shell(scratch / "",
                       "exec timeout -s KILL 60 env FAIL_FROM=" + std::to_string(from) +
                           " FAIL_TO=" + std::to_string(to) +
                           " FAIL_COUNT=count LD_PRELOAD=" TILTFIN_FAILING_ALLOCATIONS " \"$0\" " +
                           words);
}

/// All files below a directory by name; those under temporary names are left out where asked for.
std::map<std::string, std::string> tree(const fs::path& directory, bool with_parts) {
  std::map<std::string, std::string> files;
  if (fs::exists(directory)) {
    for (const auto& entry : fs::recursive_directory_iterator(directory)) {
      if (entry.is_regular_file() && (with_parts || entry.path().extension() != ".part")) {
        files[fs::relative(entry.path(), directory).string()] = text_of(entry.path());
      }
    }
  }
  return files;
}

long allocations(const Scratch& scratch, const std::string& words) {
  REQUIRE(failing(scratch, words, 0, -1).end() == 0);
  const long n = std::stol(text_of(scratch / "count"));
  REQUIRE(n > 1000);
  return n;
}

/// The end of a run whose memory ran out: our message, or (inside a library) what is left of it.
void check_end(const Run& run) {
  const int code = run.end();
  CHECK((code == 0 || code == 1 || code == 4));
  if (code != 0) {
    CHECK_THAT(run.err(), ContainsSubstring("memory"));
  }
}

} // namespace

TEST_CASE("Memory: check ends with a message wherever memory runs out", "[memory][attack]") {
  const Scratch scratch("memory-check");
  put(scratch / "tiny.toml", tiny_case_text("[0.1]", R"(["upright"])"));
  const std::string check = "check tiny.toml --no-svg";
  const long n = allocations(scratch, check);
  // A prime stride meets every place of a loop in time; some 900 places in all.
  for (long k = 1; k <= n; k += 7) {
    CAPTURE(k, n);
    check_end(failing(scratch, check, k, k));
  }
  for (long k = 1; k <= n; k += 211) { // and no more memory from there on
    CAPTURE(k, n);
    const Run run = failing(scratch, check, k, endless);
    CHECK(run.end() == 1);
    CHECK_THAT(run.err(), ContainsSubstring("memory ran out"));
  }
}

TEST_CASE("Memory: a solve ends with a message, what is on disk is whole and is resumed",
          "[memory][attack]") {
  const Scratch scratch("memory-solve");
  put(scratch / "tiny.toml", tiny_case_text("[0.1]", R"(["upright"])"));
  const long n = allocations(scratch, small_solve);
  const std::map<std::string, std::string> whole = tree(scratch / "out", true);
  REQUIRE(whole.size() > 5);
  int k = 0;
  for (long from = 1; from <= n; from += n / 197) {
    const bool once = k++ % 4 != 0;
    CAPTURE(from, once, n);
    fs::remove_all(scratch / "out");
    check_end(failing(scratch, small_solve, from, once ? from : endless));
    for (const auto& [name, text] : tree(scratch / "out", false)) {
      CAPTURE(name);
      if (!name.starts_with("pictures/")) { // drawn at its own scale first, then at that of all
        CHECK((whole.contains(name) && whole.at(name) == text));
      }
    }
    REQUIRE(failing(scratch, std::string(small_solve) + " --resume", 0, -1).end() == 0);
    CHECK(tree(scratch / "out", true) == whole);
  }
}

} // namespace tiltfin::tests
