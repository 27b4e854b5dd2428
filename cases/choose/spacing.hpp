#pragma once
// The best gap between a cooler's fins at fixed outer size, by a bracketing search on solved
// layouts, for every panel state and orientation and for all of them together.
//
// Layouts are ranked like with like, by steady flows whose stability is not examined; then the best
// and the layout as drawn are, at the power of the search. The power limits are of steady flows
// too.
//
// The output directory holds spacing.csv, .json and .svg, gaps_<condition>.svg (too tight, best,
// too wide side by side), under layouts/<layout> what a solve of that layout that skips stability
// would hold, and under examined/<layout> what one that does not. A condition that is finished
// there is never solved again.

#include "cases/file/case.hpp"
#include "post/fits/groups.hpp"
#include "post/reports/spacing_report.hpp"

#include <atomic>
#include <filesystem>
#include <functional>
#include <optional>
#include <span>
#include <string>
#include <vector>

namespace tiltfin {

struct SpacingOptions {
  std::filesystem::path directory;
  int jobs = 0;                           ///< threads, 0: all cores
  std::optional<double> power_w;          ///< default: the largest of the case
  std::vector<double> thicknesses_mm;     ///< to compare; empty: as drawn
  std::vector<double> heights_mm;         ///< the same
  std::optional<double> min_gap_mm;       ///< default: from [spacing], else the usual
  std::optional<double> min_thickness_mm; ///< the same
  std::optional<double>
      max_gap_mm; ///< default: 20, or three times the gap as drawn if that is more
  std::vector<std::string> weights; ///< "upright=2"; orientations not named have 0; empty: all 1
  int first_layouts = 5;            ///< that the search starts from
  bool skip_stability = false;      ///< of the best and the drawn layout too
  const std::atomic<bool>* stop = nullptr;
};

/// Searches and writes; `tell` gets a line per finished condition. Nothing when the caller asked to
/// stop: what is finished is kept, and the same call goes on from there. Throws InputError before
/// anything is written where the cooler has no gap to search, nothing fits the limits, or a
/// thickness or height does not fit the case.
[[nodiscard]] std::optional<SpacingReport>
find_spacing(const Case& the_case, const SpacingOptions& options,
             const std::function<void(const std::string&)>& tell);

/// The part of it that the chosen panel states and orientations need each by itself, into the same
/// places, and no tables: a share of the work. False when the caller asked to stop; throws as
/// `find_spacing`.
[[nodiscard]] bool search_spacing_of(const Case& the_case, const SpacingOptions& options,
                                     std::span<const Placing> chosen,
                                     const std::function<void(const std::string&)>& tell);

} // namespace tiltfin
