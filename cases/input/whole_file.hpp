#pragma once
// A whole file as text, and which files a directory holds.

#include <cstdint>
#include <filesystem>
#include <string>
#include <vector>

namespace tiltfin {

/// Largest files [bytes]: case files are written by hand (a thousand solids take 150 kB); results
/// grow with the conditions (a thousand take 10 MB) and states with the cells (4e6 take 250 MB).
inline constexpr std::uintmax_t largest_case_file = 4U << 20U;
inline constexpr std::uintmax_t largest_file = 1U << 30U;

/// Throws InputError "file: found no file that can be read, allowed ..." with what is allowed; so
/// it is with what is no regular file (a device has no end) and with what is larger than `largest`,
/// before anything is read.
[[nodiscard]] std::string read_whole_file(const std::filesystem::path& path,
                                          const std::string& allowed,
                                          std::uintmax_t largest = largest_file);

/// Names of what a directory holds, sorted; none where there is no such directory. Throws
/// std::filesystem::filesystem_error where it cannot be read.
[[nodiscard]] std::vector<std::string> names_in(const std::filesystem::path& directory);

} // namespace tiltfin
