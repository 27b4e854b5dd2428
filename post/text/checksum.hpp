#pragma once
// What the files carry that the program reads back: their name, the case they are of, and a
// checksum over these and all else they hold. It guards against damage, edited digits and mix-ups,
// not against malice: who forges a file can compute its checksum, too. CRC-32 (that of zlib and
// PNG; here Boost's) finds every change within 32 neighbouring bits, so every changed character,
// and of other changes all but one in 4e9.

#include <stdexcept>
#include <string>
#include <string_view>

namespace tiltfin {

/// A stored file that is not as it was written, or not where: "found ..., allowed ...".
struct StoredError : std::runtime_error {
  using std::runtime_error::runtime_error;
};

/// Eight hexadecimal digits.
[[nodiscard]] std::string crc32_of(std::string_view bytes);

/// What a stored file says of itself.
struct StoredAs {
  std::string name;       ///< of the file
  std::string case_crc32; ///< of the case; "": written, of no single one; read, of any
};

/// The text of a JSON object with a last member "stored": {"as", "case_crc32", "crc32"}. The
/// checksum is of the text that is written, without the eight digits of the checksum itself.
[[nodiscard]] std::string stored_json(const std::string& text, const StoredAs& as);

/// Throws StoredError. What is compared is the text that the values read would be written as:
/// blanks and line breaks may differ, and another spelling of the same number.
void check_stored_json(const std::string& text, const StoredAs& as);

/// Any bytes with a last line that says the same, as XML would have a comment.
[[nodiscard]] std::string stored_bytes(std::string bytes, const StoredAs& as);

/// The bytes without that line. Throws StoredError.
[[nodiscard]] std::string_view check_stored_bytes(std::string_view stored, const StoredAs& as);

} // namespace tiltfin
