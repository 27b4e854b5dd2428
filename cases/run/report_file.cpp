#include "cases/run/report_file.hpp"

#include "cases/input/input_error.hpp"
#include "cases/input/whole_file.hpp"
#include "post/page/report_page.hpp"
#include "post/text/text_file.hpp"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <array>
#include <stdexcept>
#include <utility>

namespace tiltfin {
namespace {

namespace fs = std::filesystem;

constexpr std::array<const char*, 17> reported_files{
    "case.toml",    "summary.json", "why.json",    "levers.json",       "tilts.csv", "compare.svg",
    "compare.json", "compare.csv",  "warm-up.svg", "compare-soaks.csv", "bench.svg", "bench.csv",
    "spacing.json", "spacing.csv",  "rank.svg",    "rank.csv",          "rank.json"};

/// One of these makes a directory one of results.
constexpr std::array<const char*, 7> telling_files{"summary.json", "levers.json", "tilts.csv",
                                                   "compare.svg",  "bench.svg",   "spacing.json",
                                                   "rank.svg"};

void take(PageFiles& files, const fs::path& directory, const std::string& path) {
  if (!files.contains(path) && fs::is_regular_file(directory / path)) {
    files[path] = read_whole_file(directory / path, "a file of the results");
  }
}

/// Drawings in a folder ("" is the directory itself) whose names begin so, and their numbers.
void take_drawings(PageFiles& files, const fs::path& directory, const std::string& folder,
                   const std::string& begin) {
  for (const std::string& name : names_in(directory / folder)) {
    if (name.ends_with(".svg") && name.starts_with(begin)) {
      fs::path path = fs::path(folder) / name;
      take(files, directory, path.generic_string());
      take(files, directory, path.replace_extension(".csv").generic_string());
    }
  }
}

void take_all(PageFiles& files, const fs::path& directory) {
  if (!fs::is_directory(directory)) {
    throw InputError(
        fmt::format("{}: found no directory, allowed one that holds results", directory.string()));
  }
  for (const char* path : reported_files) {
    take(files, directory, path);
  }
  const auto has_sheets = [&files] {
    return std::ranges::any_of(files,
                               [](const auto& file) { return file.first.starts_with("sheets/"); });
  };
  take_drawings(files, directory, "sheets", "");
  take_drawings(files, directory, "animations", "");
  take_drawings(files, directory, "pictures", has_sheets() ? "tilts-" : "");
  take_drawings(files, directory, "", "spacing");
  take_drawings(files, directory, "", "gaps_");
}

} // namespace

fs::path write_report(const fs::path& directory, const std::vector<std::string>& also) {
  PageFiles files;
  take_all(files, directory);
  for (const std::string& other : also) {
    take_all(files, other);
  }
  if (std::ranges::none_of(telling_files, [&](const char* path) { return files.contains(path); })) {
    throw InputError(fmt::format("{}: found no results to report, allowed a directory with one of "
                                 "{}",
                                 directory.string(), fmt::join(telling_files, ", ")));
  }
  std::string page;
  try {
    page = report_page(std::move(files));
  } catch (const std::runtime_error& error) {
    throw InputError(fmt::format("{}: {}", directory.string(), error.what()));
  }
  fs::path path = directory / "report.html";
  write_text(path, page);
  return path;
}

} // namespace tiltfin
