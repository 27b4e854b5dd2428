#pragma once
// Text from outside, made fit to be shown: on a terminal, in a drawing, in a cell.

#include <string>
#include <string_view>

namespace tiltfin {

/// The text with U+FFFD for what is no character to read: bytes that are no UTF-8, control
/// characters but for line ends, marks that turn the direction of writing, line and paragraph
/// separators, and code points that are never characters (U+FFFE). Of UTF-8: RFC 3629, section 4.
[[nodiscard]] std::string printable(std::string_view text);

/// True for one line of text in which there is nothing to replace.
[[nodiscard]] bool is_printable(std::string_view text);

} // namespace tiltfin
