#pragma once
// Files appear whole or not at all.

#include <filesystem>
#include <string>

namespace tiltfin {

/// Writes text through a temporary name and a rename; throws std::runtime_error with the path.
void write_text(const std::filesystem::path& path, const std::string& text);

} // namespace tiltfin
