#pragma once
// A TOML tree as text again: what a changed case is written as.

#include "cases/input/toml_tree.hpp"

#include <string>

namespace tiltfin {

/// Text that parse_toml reads as the same tree, but for line numbers and the order of keys. Dates
/// (which no case has) are left out.
[[nodiscard]] std::string toml_text(const TomlValue& root);

/// A value as it stands on the right of "key = ".
[[nodiscard]] std::string inline_text(const TomlValue& value);

/// The value at `key` of a table, null when it is not there.
[[nodiscard]] TomlValue* entry(TomlValue& table, const std::string& key);
[[nodiscard]] const TomlValue* entry(const TomlValue& table, const std::string& key);

/// The value at `key` of a table, made where it is not there: in the order of the alphabet, as
/// parse_toml leaves keys, so that the text of a changed tree is that of its own text read again.
[[nodiscard]] TomlValue& made_entry(TomlValue& table, const std::string& key);

/// Sets a number at `key` of a table.
void set_number(TomlValue& table, const std::string& key, double value);

void remove_entry(TomlValue& table, const std::string& key);

} // namespace tiltfin
