#pragma once
// Files of results that the program reads back, checked on reading (post/text/checksum.hpp): that
// they hold what was written, under this name and for this case. A case is known by what its
// results depend on (solved_text.hpp), so that its title, limit temperature or lists of conditions
// may change. Pairs of files of one name and case that differ in options alone are not told apart.

#include "cases/file/case.hpp"
#include "post/text/checksum.hpp"

#include <filesystem>
#include <string>
#include <utility>

namespace tiltfin {

/// A stored file that is there and is not taken. As an InputError it says what to do; `found` is
/// what is wrong with which file, for those that do something about it themselves.
struct StoredInputError : InputError {
  StoredInputError(const std::string& message, std::string what)
      : InputError(message), found(std::move(what)) {}
  std::string found;
};

/// What a case's files are known by.
[[nodiscard]] std::string crc32_of_case(const Case& the_case);

/// The same of the case.toml in a directory; "" where there is none that can be read.
[[nodiscard]] std::string crc32_of_case_in(const std::filesystem::path& directory);

/// Throws StoredInputError for the file with what is wrong with it, and what to do.
[[noreturn]] void refuse_stored(const std::filesystem::path& path, const std::string& found);

/// Writes a JSON text, or any bytes, with what they are checked by. Throws WriteError.
void write_stored_json(const std::filesystem::path& path, const std::string& text,
                       const std::string& case_crc32);
void write_stored_bytes(const std::filesystem::path& path, std::string bytes,
                        const std::string& case_crc32);

/// The text of a file; `is` says what it is. `case_crc32` "": of any case. Throws StoredInputError,
/// and InputError where there is no file.
[[nodiscard]] std::string read_stored_json(const std::filesystem::path& path,
                                           const std::string& case_crc32, const std::string& is);
[[nodiscard]] std::string read_stored_bytes(const std::filesystem::path& path,
                                            const std::string& case_crc32, const std::string& is);

} // namespace tiltfin
