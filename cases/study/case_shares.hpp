#pragma once
// A case solved in shares that know nothing of each other, and made one again: conditions that
// start from each other stay in one share.

#include "cases/run/run.hpp"
#include "cases/study/share.hpp"

#include <filesystem>
#include <string>
#include <vector>

namespace tiltfin {

/// The ids of a share's conditions: whole panel states and orientations, of about equal expected
/// cost. Throws InputError where the case has fewer of them than there are shares.
[[nodiscard]] std::vector<std::string> ids_in_share(const Case& the_case, const Share& share);

/// What was made one of several directories.
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

} // namespace tiltfin
