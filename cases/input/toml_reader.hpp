#pragma once
// Typed access to the declared keys of a TOML tree. Whatever is wrong is an InputError of the form
// "file:line: key 'k': found ..., allowed ...".

#include "cases/input/input_error.hpp"
#include "cases/input/keys.hpp"
#include "cases/input/toml_tree.hpp"
#include "mesh/section.hpp"

#include <span>
#include <string>
#include <string_view>
#include <vector>

namespace tiltfin {

/// A table being read. Values that are not given are appended to `defaults`.
struct TomlTable {
  std::string file;
  std::string path;                 ///< "room", "solid[2]"; empty for the whole file
  const TomlValue* value = nullptr; ///< null: the table is not there, every key has its default
  int line = 1;
  std::vector<std::string>* defaults = nullptr;
  const KeyTable* keys = nullptr; ///< that it may have
};

/// The whole file as a table; refuses keys that are not in `keys`, as do all tables in it.
[[nodiscard]] TomlTable top_table(const TomlValue& root, const std::string& file,
                                  std::vector<std::string>& defaults, const KeyTable& keys);

/// The table at `key`, with `value` null when it is not there.
[[nodiscard]] TomlTable table_at(const TomlTable& parent, const std::string& key);

/// The same, refused when it is not there.
[[nodiscard]] TomlTable needed_table(const TomlTable& parent, const std::string& key);

/// The tables of a `[[key]]` list, in the order of the file; none when it is not there.
[[nodiscard]] std::vector<TomlTable> tables_at(const TomlTable& parent, const std::string& key);

/// The value at `key`, null when it is not there.
[[nodiscard]] const TomlValue* find(const TomlTable& table, std::string_view key);

/// The value at `key`; refused with `allowed` when it is not there.
[[nodiscard]] const TomlValue& needed(const TomlTable& table, std::string_view key,
                                      std::string_view allowed);

// What is not given has the default that its key declares; without one it is refused. Those that
// end in _or take a default that follows from other keys.

[[nodiscard]] double number(const TomlTable& table, const std::string& key);
[[nodiscard]] int whole_number(const TomlTable& table, const std::string& key);

/// Within bounds that follow from other keys.
[[nodiscard]] int whole_number(const TomlTable& table, const std::string& key,
                               const Bounds& bounds);

/// A length given in mm [m].
[[nodiscard]] double length(const TomlTable& table, const std::string& key);
[[nodiscard]] double length_or(const TomlTable& table, const std::string& key, double fallback_mm);

/// A temperature given in degrees Celsius [K].
[[nodiscard]] double temperature(const TomlTable& table, const std::string& key);

[[nodiscard]] std::string text(const TomlTable& table, const std::string& key);
[[nodiscard]] std::string text_or(const TomlTable& table, const std::string& key,
                                  const std::string& fallback);

/// One of the key's options; the message for another text names the nearest one.
[[nodiscard]] std::string choice(const TomlTable& table, const std::string& key);

/// One of options that follow from other keys.
[[nodiscard]] std::string choice(const TomlTable& table, const std::string& key,
                                 std::span<const std::string> options);

/// A list of numbers, refused when its length is outside `n_low` to `n_high`.
[[nodiscard]] std::vector<double> numbers(const TomlTable& table, const std::string& key, int n_low,
                                          int n_high);

/// A list of different texts out of the key's options.
[[nodiscard]] std::vector<std::string> choices(const TomlTable& table, const std::string& key);

/// The same out of options that follow from other keys.
[[nodiscard]] std::vector<std::string> choices(const TomlTable& table, const std::string& key,
                                               std::span<const std::string> options);

/// The number in `item`, which stands at `key` (alone or in a list).
[[nodiscard]] double number_in(const TomlTable& table, const std::string& key,
                               const TomlValue& item, const Bounds& bounds);

/// The text in `item`, which stands at `key`, one of `options`; `more` is added to what is allowed.
[[nodiscard]] std::string choice_in(const TomlTable& table, const std::string& key,
                                    const TomlValue& item, std::span<const std::string> options,
                                    const std::string& more = "");

/// Appends what the key's `without` says to the defaults.
void note_without(const TomlTable& table, const std::string& key);

/// Appends "path.key = value (default)".
void note_default(const TomlTable& table, const std::string& key, const std::string& value);

/// "file:line: key 'path.key'", the opening of a message. The line is that of the key, or of its
/// table when the key is not there.
[[nodiscard]] std::string place_of(const TomlTable& table, const std::string& key);

/// Throws InputError "file:line: key 'path.key': found ..., allowed ...". The line is that of the
/// key, or of its table when the key is not there.
[[noreturn]] void refuse(const TomlTable& table, const std::string& key, const std::string& found,
                         const std::string& allowed);

/// A value as people write it: 12.5, "text", a list, a table.
[[nodiscard]] std::string show(const TomlValue& value);

/// "a, b, c".
[[nodiscard]] std::string join(std::span<const std::string> words);

/// What may have been meant, in single quotes: all texts of `known` that hold `word` ("'a-word' or
/// 'b-word'"; three letters or more, capitals or not), else the one with the smallest edit distance
/// to it; empty when `known` is empty.
[[nodiscard]] std::string nearest(const std::string& word, std::span<const std::string> known);

} // namespace tiltfin
