#pragma once
// How deep TOML text nests, found before it is parsed: parsers and trees recurse.

#include <string>

namespace tiltfin {

inline constexpr int most_key_parts = 16; ///< a.b.c has three; cases have up to three
inline constexpr int most_brackets = 16;  ///< one in another; cases have up to three
inline constexpr int longest_key = 200;   ///< bytes of one part

/// Throws InputError "name:line: found ..., allowed ..." where a key has more parts, or a part more
/// bytes, or a bracket stands in more brackets. Text that is no TOML passes: the parser says why.
void check_depth(const std::string& text, const std::string& name);

} // namespace tiltfin
