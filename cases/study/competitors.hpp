#pragma once
// A study's variants as coolers that are ranked beside each other.

#include "cases/choose/rank.hpp"

#include <filesystem>
#include <vector>

namespace tiltfin {

/// Every possible variant with its results, by number, named by it and by its values. Throws
/// InputError where the directory is no study's or a variant has no result in it.
[[nodiscard]] std::vector<Competitor> competitors_in_study(const std::filesystem::path& directory);

} // namespace tiltfin
