#pragma once
// A case solved in shares that know nothing of each other, and made one again: conditions that
// start from each other stay in one share.

#include "cases/run/run.hpp"
#include "cases/study/share.hpp"
#include "post/fits/groups.hpp"

#include <filesystem>
#include <span>
#include <string>
#include <vector>

namespace tiltfin {

/// The ids of a share's conditions: whole panel states and orientations, of about equal expected
/// cost. Throws InputError where the case has fewer of them than there are shares.
[[nodiscard]] std::vector<std::string> ids_in_share(const Case& the_case, const Share& share);

/// The same of several cases together, by case.
[[nodiscard]] std::vector<std::vector<std::string>> ids_in_share(std::span<const Case> cases,
                                                                 const Share& share);

/// The panel states and orientations of a share.
[[nodiscard]] std::vector<Placing> placings_in_share(const Case& the_case, const Share& share);

/// What was made one of several directories of one case.
struct MergedCase {
  CaseResults results;
  int n_taken = 0;                  ///< conditions copied, powers added near the limits too
  std::vector<std::string> missing; ///< ids of listed conditions that no directory has
};

/// Copies the conditions of directories of one case that are not in `into`, each checked, and
/// writes tables and pictures of all. Throws InputError for a directory of another case and for a
/// condition that is damaged there and missing in `into`; WriteError.
[[nodiscard]] MergedCase merge_case(const std::filesystem::path& into,
                                    const std::vector<std::filesystem::path>& others);

/// Directories of results below a directory, by their paths in it: what `rank` and `spacing` leave.
[[nodiscard]] std::vector<std::filesystem::path>
results_below(const std::filesystem::path& directory);

/// Copies what is missing of all results below the directories, each checked, to the same places
/// below `into`; how many conditions. Throws as `merge_case`.
[[nodiscard]] int merge_below(const std::filesystem::path& into,
                              const std::vector<std::filesystem::path>& others);

} // namespace tiltfin
