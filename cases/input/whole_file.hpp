#pragma once
// A whole file as text.

#include <filesystem>
#include <string>

namespace tiltfin {

/// Throws InputError "file: found no file that can be read, allowed ..." with what is allowed.
[[nodiscard]] std::string read_whole_file(const std::filesystem::path& path,
                                          const std::string& allowed);

} // namespace tiltfin
