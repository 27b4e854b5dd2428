#pragma once
// Files appear whole or not at all.

#include <filesystem>
#include <stdexcept>
#include <string>

namespace tiltfin {

/// A file or directory that cannot be written; the message names it and the reason.
struct WriteError : std::runtime_error {
  using std::runtime_error::runtime_error;
};

/// Throws WriteError: a directory is where a file is to be written; says what to do about it.
[[noreturn]] void refuse_directory(const std::filesystem::path& path);

/// Writes text through a temporary name and a rename; throws WriteError.
void write_text(const std::filesystem::path& path, const std::string& text);

} // namespace tiltfin
