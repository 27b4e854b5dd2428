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
void write_restart(const std::filesystem::path& path, const Solution& solution);

/// The solution of `condition` on `section` as far as a warm start reads it; nothing when the file
/// is missing, damaged, or belongs to other meshes.
[[nodiscard]] std::optional<Solution> read_restart(const std::filesystem::path& path,
                                                   const Case& the_case, const Section& section,
                                                   const Condition& condition);

/// What write_restart wrote of the finest mesh alone, of a mean over time too; its report is empty.
[[nodiscard]] std::optional<Solution> read_finest(const std::filesystem::path& path,
                                                  const Case& the_case, const Section& section,
                                                  const Condition& condition);

} // namespace tiltfin
