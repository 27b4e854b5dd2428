#pragma once
// Charts and tables that a page shows as they are (svg, csv): they hold no checksum of their own,
// so the directory that they are in does, in `shown.json`.

#include <filesystem>
#include <string>
#include <vector>

namespace tiltfin {

/// The checksums kept in a directory's `shown.json`.
inline constexpr const char* shown_file = "shown.json";

/// Keeps the checksums of these files of the directory (paths in it), as they are on disk now,
/// beside those of others that are kept there and still exist. A `shown.json` that is not as it was
/// written is begun anew. Throws WriteError, and InputError for a file that is not there.
void keep_shown(const std::filesystem::path& directory, const std::vector<std::string>& names);

/// What is wrong with the text read from such a file: "found ..., allowed ..."; "" where nothing
/// is.
[[nodiscard]] std::string fault_of_shown(const std::filesystem::path& directory,
                                         const std::string& name, const std::string& text);

} // namespace tiltfin
