#pragma once
// TOML text as a plain tree with line numbers. The parser itself is seen by toml_tree.cpp alone.

#include <string>
#include <vector>

namespace tiltfin {

struct TomlValue {
  enum class Kind { text, number, flag, date, list, table };
  Kind kind = Kind::table;
  int line = 0;          ///< where it stands in the file, from 1
  std::string text;      ///< of a text
  double number = 0.0;   ///< of a number, always finite
  bool is_whole = false; ///< the number was written as an integer
  bool flag = false;
  std::vector<TomlValue> items;  ///< of a list, or of a table
  std::vector<std::string> keys; ///< of a table, one per item
};

/// Parses TOML text; `name` stands for the file in messages. Throws InputError with the line for a
/// syntax error, for inf and nan, for texts with control characters but tabs and line ends, and for
/// text that nests too deep (toml_depth).
[[nodiscard]] TomlValue parse_toml(const std::string& text, const std::string& name);

/// "room.margin_mm"; a part that is empty leaves no dot.
[[nodiscard]] std::string join_path(const std::string& path, const std::string& key);

/// "file:line: key 'key'", the opening of a message.
[[nodiscard]] std::string opening(const std::string& file, int line, const std::string& key);

/// Throws InputError "file:line: key 'key': found ..., allowed ...".
[[noreturn]] void refuse_at(const std::string& file, int line, const std::string& key,
                            const std::string& found, const std::string& allowed);

} // namespace tiltfin
