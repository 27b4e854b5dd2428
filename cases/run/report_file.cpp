#include "cases/run/report_file.hpp"

#include "cases/file/shown.hpp"
#include "cases/file/stored.hpp"
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

constexpr std::array<const char*, 24> reported_files{
    "case.toml",   "summary.json", "why.json",     "levers.json", "tilts.csv",
    "compare.svg", "compare.json", "compare.csv",  "warm-up.svg", "compare-soaks.csv",
    "bench.svg",   "bench.csv",    "spacing.json", "spacing.csv", "rank.svg",
    "rank.csv",    "rank.json",    "ends.json",    "ends.csv",    "second-plane.svg",
    "study.svg",   "study.csv",    "effects.csv",  "fan.csv"};

/// One of these makes a directory one of results.
constexpr std::array<const char*, 9> telling_files{"summary.json", "levers.json", "tilts.csv",
                                                   "compare.svg",  "bench.svg",   "spacing.json",
                                                   "rank.svg",     "ends.json",   "study.csv"};

/// What is wrong with a file, of the case beside it where there is one; "" where nothing is.
std::string fault_in(const std::string& text, const fs::path& directory, const std::string& path) {
  const fs::path extension = fs::path(path).extension();
  std::string fault;
  if (extension == ".json") {
    try {
      check_stored_json(text, {path, crc32_of_case_in(directory)});
    } catch (const StoredError& error) {
      fault = error.what();
    }
  } else if (extension != ".toml") {
    fault = fault_of_shown(directory, path, text);
  }
  return fault.empty() ? ""
                       : fmt::format("{}: {}: {}; write it anew with the command that made it "
                                     "(`tiltfin solve --resume` solves nothing that is finished)",
                                     directory.string(), path, fault);
}

/// Files of a page, and what to do with one that is not as it was written.
struct Taking {
  PageFiles files;
  Remarks* left_out = nullptr; ///< null: refuse it
};

void take(Taking& taking, const fs::path& directory, const std::string& path) {
  if (taking.files.contains(path) || !fs::is_regular_file(directory / path)) {
    return;
  }
  std::string text = read_whole_file(directory / path, "a file of the results");
  const std::string fault = fault_in(text, directory, path);
  if (fault.empty()) {
    taking.files[path] = std::move(text);
  } else if (taking.left_out != nullptr) {
    taking.left_out->add(fault + "; it is left out of the page");
  } else {
    throw InputError(fault);
  }
}

/// Drawings in a folder ("" is the directory itself) whose names begin so, and their numbers.
void take_drawings(Taking& taking, const fs::path& directory, const std::string& folder,
                   const std::string& begin) {
  for (const std::string& name : names_in(directory / folder)) {
    if (name.ends_with(".svg") && name.starts_with(begin)) {
      fs::path path = fs::path(folder) / name;
      take(taking, directory, path.generic_string());
      take(taking, directory, path.replace_extension(".csv").generic_string());
    }
  }
}

void take_all(Taking& taking, const fs::path& directory) {
  if (!fs::is_directory(directory)) {
    throw InputError(
        fmt::format("{}: found no directory, allowed one that holds results", directory.string()));
  }
  for (const char* path : reported_files) {
    if (fs::is_directory(directory / path)) {
      throw InputError(fmt::format("{}: found a directory, allowed the file of that name that the "
                                   "results are read from: move the directory away",
                                   (directory / path).string()));
    }
    take(taking, directory, path);
  }
  const auto has_sheets = [&taking] {
    return std::ranges::any_of(taking.files,
                               [](const auto& file) { return file.first.starts_with("sheets/"); });
  };
  take_drawings(taking, directory, "sheets", "");
  take_drawings(taking, directory, "animations", "");
  take_drawings(taking, directory, "pictures", has_sheets() ? "tilts-" : "");
  take_drawings(taking, directory, "", "spacing");
  take_drawings(taking, directory, "", "gaps_");
}

} // namespace

fs::path write_report(const fs::path& directory, const std::vector<std::string>& also,
                      Remarks* left_out) {
  Taking taking{.files = {}, .left_out = left_out};
  take_all(taking, directory);
  for (const std::string& other : also) {
    take_all(taking, other);
  }
  PageFiles& files = taking.files;
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
