// What is left on disk by a run that is killed, or whose disk is full or read-only.
#include "post/text/json.hpp"
#include "tests/cases/case_texts.hpp"
#include "tests/cases/commands/program_run.hpp"
#include "tests/catch.hpp"

#include <chrono>
#include <map>
#include <random>
#include <thread>

#include <sys/mount.h>

namespace tiltfin::tests {
namespace {

namespace fs = std::filesystem;

const std::vector<std::string> solve{"solve", "tiny.toml", "-o", "out", "--jobs", "1"};
const std::string two_powers = tiny_case_text("[0.1, 0.2]", R"(["upright"])");

std::vector<std::string> resumed() {
  std::vector<std::string> words = solve;
  words.emplace_back("--resume");
  return words;
}

/// All files below a directory by name.
std::map<std::string, std::string> tree(const fs::path& directory) {
  std::map<std::string, std::string> files;
  for (const auto& entry : fs::recursive_directory_iterator(directory)) {
    if (entry.is_regular_file()) {
      files[fs::relative(entry.path(), directory).string()] = text_of(entry.path());
    }
  }
  return files;
}

/// Files under their last names are whole: what is read back can be read. Returns how many files
/// still have their temporary names.
int check_whole(const fs::path& directory) {
  int n_parts = 0;
  if (!fs::exists(directory)) {
    return n_parts;
  }
  for (const auto& [name, text] : tree(directory)) {
    CAPTURE(name);
    const std::string ending = fs::path(name).extension().string();
    n_parts += ending == ".part" ? 1 : 0;
    if (ending == ".json") {
      CHECK_NOTHROW(parse_json(text));
    } else if (ending != ".part") {
      CHECK_FALSE(text.empty());
    }
    if (ending == ".svg" || ending == ".vtr" || ending == ".html") {
      CHECK(text.find(ending == ".svg"   ? "</svg>"
                      : ending == ".vtr" ? "</VTKFile>"
                                         : "</html>") != std::string::npos);
    }
  }
  return n_parts;
}

/// What an uninterrupted run writes.
std::map<std::string, std::string> whole_run(const Scratch& scratch) {
  put(scratch / "tiny.toml", two_powers);
  REQUIRE(Run(scratch / "", solve).end() == 0);
  std::map<std::string, std::string> whole = tree(scratch / "out");
  fs::remove_all(scratch / "out");
  REQUIRE(whole.contains("report.html"));
  return whole;
}

constexpr int roomy_kib = 64 * 1024;

/// A disk of a few KiB, mounted while it lives where that is allowed.
class SmallDisk {
public:
  explicit SmallDisk(fs::path place) : place_(std::move(place)) {
    fs::create_directories(place_);
    is_there_ = mount("tmpfs", place_.c_str(), "tmpfs", 0, "size=4k") == 0;
  }
  ~SmallDisk() {
    if (is_there_) {
      umount(place_.c_str());
    }
  }
  SmallDisk(const SmallDisk&) = delete;
  SmallDisk& operator=(const SmallDisk&) = delete;
  SmallDisk(SmallDisk&&) = delete;
  SmallDisk& operator=(SmallDisk&&) = delete;

  [[nodiscard]] bool is_there() const { return is_there_; }
  /// Nothing on it, and so much room.
  void empty(int kib) const {
    change(roomy_kib);
    for (const auto& entry : fs::directory_iterator(place_)) {
      fs::remove_all(entry.path());
    }
    change(kib);
  }
  void change(int kib, bool is_read_only = false) const {
    unsigned long flags = MS_REMOUNT;
    flags |= is_read_only ? static_cast<unsigned long>(MS_RDONLY) : 0UL;
    const std::string size = "size=" + std::to_string(kib) + "k";
    REQUIRE(mount("tmpfs", place_.c_str(), "tmpfs", flags, size.c_str()) == 0);
  }

private:
  fs::path place_;
  bool is_there_ = false;
};

/// At least: a disk takes whole blocks.
int kib_of(const std::map<std::string, std::string>& files) {
  std::size_t bytes = 0;
  for (const auto& file : files) {
    bytes += file.second.size();
  }
  return static_cast<int>(bytes / 1024);
}

} // namespace

TEST_CASE("Disk: killed at any moment, what is there is whole and is resumed to the same bytes",
          "[disk][attack]") {
  const Scratch scratch("killed-anywhere");
  const auto begin = std::chrono::steady_clock::now();
  const std::map<std::string, std::string> whole = whole_run(scratch);
  const std::chrono::duration<double> length = std::chrono::steady_clock::now() - begin;
  std::mt19937 random(7); // the same moments each time
  std::uniform_real_distribution<double> share(0.0, 1.0);
  int n_killed = 0;
  for (int k = 0; k < 15; ++k) {
    fs::remove_all(scratch / "out");
    const Run run(scratch / "", solve);
    const double moment = share(random);
    CAPTURE(k, moment);
    std::this_thread::sleep_for(moment * length);
    run.signal(SIGKILL);
    n_killed += run.end() == -SIGKILL ? 1 : 0;
    CHECK(check_whole(scratch / "out") <= 1);
    REQUIRE(Run(scratch / "", resumed()).end() == 0);
    CHECK(tree(scratch / "out") == whole);
  }
  CHECK(n_killed > 4);
}

TEST_CASE("Disk: a directory without the copy of its case is as one that was never begun",
          "[disk]") {
  const Scratch scratch("no-copy");
  put(scratch / "tiny.toml", two_powers);
  // The first thing written is the copy: a run that ends there leaves nothing that it would refuse.
  const Run run = Run::in_shell(scratch / "", "mkdir -p out/case.toml.part; exec \"$0\" solve "
                                              "tiny.toml -o out --jobs 1 --skip-stability");
  CHECK(run.end() == 1);
  CHECK_FALSE(fs::exists(scratch / "out/conditions"));
  fs::remove_all(scratch / "out/case.toml.part");
  CHECK(Run(scratch / "", resumed()).end() == 0);
}

TEST_CASE("Disk: full or read-only, a run ends with code 1 and goes on when there is room",
          "[disk][attack]") {
  const Scratch scratch("full-disk");
  const std::map<std::string, std::string> whole = whole_run(scratch);
  const SmallDisk disk(scratch / "out");
  if (!disk.is_there()) {
    WARN("skipped: mounting a small disk is not allowed here (root is)");
    return;
  }
  const int all_kib = kib_of(whole);
  for (const int kib : {4, all_kib / 50, all_kib / 8, all_kib / 4, all_kib / 2, all_kib * 3 / 4}) {
    CAPTURE(kib, all_kib);
    disk.empty(kib);
    const Run run(scratch / "", solve);
    CHECK(run.end() == 1);
    CHECK_THAT(run.err(), ContainsSubstring("cannot ") && ContainsSubstring("No space left"));
    CHECK(check_whole(scratch / "out") == 0);
    disk.change(roomy_kib);
    CHECK(Run(scratch / "", resumed()).end() == 0);
    CHECK(tree(scratch / "out") == whole);
  }
  const std::map<std::string, std::string> before = tree(scratch / "out");
  disk.change(all_kib + 64); // no room for a second page beside the first
  const Run page(scratch / "", {"report", "out"});
  CHECK(page.end() == 1);
  CHECK_THAT(page.err(), ContainsSubstring("No space left"));
  CHECK(tree(scratch / "out") == before);
  disk.change(roomy_kib, true);
  for (const std::vector<std::string>& words :
       {solve, resumed(), std::vector<std::string>{"report", "out"}}) {
    const Run run(scratch / "", words);
    CHECK(run.end() == 1);
    CHECK_THAT(run.err(), ContainsSubstring("cannot ") && ContainsSubstring("Read-only"));
  }
  CHECK(tree(scratch / "out") == before);
}

TEST_CASE("Disk: full, a search for the best gap ends with code 1 and goes on when there is room",
          "[disk][attack]") {
  const Scratch scratch("full-disk-spacing");
  put(scratch / "small.toml", small_stack);
  const std::vector<std::string> words{
      "spacing",      "small.toml", "-o",           "out", "--jobs",          "1",
      "--min-gap-mm", "1.2",        "--max-gap-mm", "4",   "--skip-stability"};
  REQUIRE(Run(scratch / "", words).end() == 0);
  const std::map<std::string, std::string> whole = tree(scratch / "out");
  fs::remove_all(scratch / "out");
  REQUIRE(whole.contains("spacing.json"));
  const SmallDisk disk(scratch / "out");
  if (!disk.is_there()) {
    WARN("skipped: mounting a small disk is not allowed here (root is)");
    return;
  }
  const int all_kib = kib_of(whole);
  for (const int kib : {4, all_kib / 50, all_kib / 4, all_kib / 2, all_kib * 9 / 10}) {
    CAPTURE(kib, all_kib);
    disk.empty(kib);
    const Run run(scratch / "", words);
    CHECK(run.end() == 1);
    CHECK_THAT(run.err(), ContainsSubstring("cannot ") && ContainsSubstring("No space left"));
    CHECK(check_whole(scratch / "out") == 0);
    CHECK(tree(scratch / "out").count("spacing.json") == 0); // the answer is written last
    disk.change(roomy_kib);
    CHECK(Run(scratch / "", words).end() == 0);
    CHECK(tree(scratch / "out") == whole);
  }
}

} // namespace tiltfin::tests
