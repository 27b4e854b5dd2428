#pragma once
// What air through the ends of a bundle, out of the plane of the section, would bring to a machine
// lying flat: a second section through the same cooler is solved, and both are put together to
// limits between which that of all four edges open lies.
//
// The output directory holds ends.csv, ends.json, second-plane.svg, a directory second-plane as a
// solve would write it (its case.toml is the second plane's case file), and without `from` one of
// the case as it is. What is finished there is never solved again.

#include "cases/file/case.hpp"
#include "post/reports/ends_report.hpp"

#include <atomic>
#include <filesystem>
#include <functional>
#include <optional>
#include <string>
#include <vector>

namespace tiltfin {

struct EndsOptions {
  std::filesystem::path directory;
  std::string from;              ///< finished results of the case; empty: it is solved, too
  std::vector<std::string> only; ///< conditions whose id contains one of these; empty: all
  bool skip_stability = false;
  int jobs = 0; ///< threads, 0: all cores
  const std::atomic<bool>* stop = nullptr;
};

/// Solves what is missing and writes; `tell` gets a line per finished condition. Nothing when the
/// caller asked to stop: what is finished is kept. Throws InputError before anything is solved when
/// there is no second plane (second_plane), when none of its conditions is chosen, and when `from`
/// holds no results of this case or none of a chosen panel state and orientation.
[[nodiscard]] std::optional<EndsReport>
find_ends(const Case& the_case, const EndsOptions& options,
          const std::function<void(const std::string&)>& tell);

} // namespace tiltfin
