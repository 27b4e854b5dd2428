#pragma once
// The directory that results of a case are kept in: case.toml, and per finished condition
// conditions/<id>.json.

#include "cases/case.hpp"
#include "post/outcome.hpp"

#include <filesystem>
#include <optional>
#include <string>

namespace tiltfin {

[[nodiscard]] std::filesystem::path condition_file(const std::filesystem::path& directory,
                                                   const std::string& id);
[[nodiscard]] std::filesystem::path restart_file(const std::filesystem::path& directory,
                                                 const std::string& id);
[[nodiscard]] std::filesystem::path state_file(const std::filesystem::path& directory,
                                               const std::string& id);

/// Makes the directory this case's own and copies its text there. With other results in it,
/// InputError, and nothing is touched. Only what the results depend on makes another case
/// (text_that_is_solved); without `resume` also the lists of conditions, so that no results of
/// conditions that are not asked for stay behind. Throws std::runtime_error when it cannot write.
void claim_directory(const std::filesystem::path& directory, const Case& the_case, bool resume);

/// The outcome on disk; nothing when it is missing, damaged or of another condition.
[[nodiscard]] std::optional<Outcome> finished_outcome(const std::filesystem::path& directory,
                                                      const std::string& id);

} // namespace tiltfin
