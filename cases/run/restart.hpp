#pragma once
// Where the next power of a chain starts from, on disk: an interrupted run that goes on from here
// takes the same steps as one that was never interrupted.

#include "cases/file/case.hpp"
#include "solver/steady.hpp"

#include <filesystem>
#include <optional>

namespace tiltfin {

/// Writes film temperature and the states of a solution, as binary numbers of this
/// machine, through a temporary name; throws WriteError.
void write_restart(const std::filesystem::path& path, const Case& the_case,
                   const Solution& solution);

/// The solution of `condition` on `section` as far as a warm start reads it; nothing when the file
/// is missing or belongs to other meshes. `written_for`: the case that it was written for, where
/// that is a neighbour of `the_case`. Throws StoredInputError when it is there but not as it was
/// written (cases/file/stored.hpp).
[[nodiscard]] std::optional<Solution> read_restart(const std::filesystem::path& path,
                                                   const Case& the_case, const Section& section,
                                                   const Condition& condition,
                                                   const Case* written_for = nullptr);

/// Throws StoredInputError as read_restart does.
void check_restart(const std::filesystem::path& path, const Case& the_case);

/// What write_restart wrote of the finest mesh alone, of a mean over time too; its report is empty.
/// Nothing and StoredInputError as above.
[[nodiscard]] std::optional<Solution> read_finest(const std::filesystem::path& path,
                                                  const Case& the_case, const Section& section,
                                                  const Condition& condition);

} // namespace tiltfin
