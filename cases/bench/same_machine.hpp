#pragma once
// Whether logs can be of the machine that was solved.

#include "post/fits/comparison.hpp"

#include <span>
#include <string>
#include <vector>

namespace tiltfin {

/// Throws InputError where the results (of `directory`) hold no condition of a log's panel state
/// and orientation, whatever came of it, or no power within a factor of two of the log's: there
/// nothing can be compared, and likely the logs are of another machine.
void check_is_held(const Computed& computed, std::span<const MeasuredPoint> measured,
                   const std::string& directory);

/// What makes it doubtful, in words: the case of the results (case.toml in `directory`) is another
/// than the case file that describes the logs (empty: none does), with the first key that differs;
/// all rises, of two points or more, are apart by more than a factor of 1.5 the same way.
[[nodiscard]] std::vector<std::string>
doubts(const Comparison& comparison, const std::string& directory, const std::string& case_file);

} // namespace tiltfin
