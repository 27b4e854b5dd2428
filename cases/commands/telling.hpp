#pragma once
// What several commands tell of results, and the exit code that follows from them.

#include "cases/run/run.hpp"
#include "cases/study/plan.hpp"

#include <filesystem>

namespace tiltfin {

/// `not_converged` where a listed condition did not converge, or one or a limit lies outside the
/// model; else `fine`.
[[nodiscard]] int code_of(const CaseResults& results);

/// Writes the page of a directory of results, and says what it leaves out of what other commands
/// wrote there.
void tell_page(const std::filesystem::path& directory);

/// Writes and prints the tables of a study, and says what is missing; the exit code.
[[nodiscard]] int tell_study(const std::filesystem::path& directory, const Study& study,
                             const StudyPlan& plan);

/// That a share is done and what is to be done with it, where the command makes one of all itself.
void say_share_is_done(const Share& share, const std::string& directory);

} // namespace tiltfin
