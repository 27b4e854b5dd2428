#pragma once
// Typed access to the keys of a TOML tree. Whatever is wrong is an InputError of the form
// "file:line: key 'k': found ..., allowed ...".

#include "cases/input/input_error.hpp"
#include "cases/input/toml_tree.hpp"
#include "mesh/section.hpp"

#include <limits>
#include <span>
#include <string>
#include <vector>

namespace tiltfin {

/// A table being read. Values that are not given are appended to `defaults`.
struct TomlTable {
  std::string file;
  std::string path;                 ///< "room", "solid[2]"; empty for the whole file
  const TomlValue* value = nullptr; ///< null: the table is not there, every key has its default
  int line = 1;
  std::vector<std::string>* defaults = nullptr;
};

/// What a number may be; `words` says the same for people.
struct Bounds {
  double low = -std::numeric_limits<double>::infinity();
  bool low_is_allowed = true;
  double high = std::numeric_limits<double>::infinity(); ///< always allowed
  std::string words = "a number";
};
[[nodiscard]] Bounds above_zero();
[[nodiscard]] Bounds zero_or_more();
[[nodiscard]] Bounds between(double low, double high);

/// Degrees Celsius above absolute zero.
[[nodiscard]] Bounds celsius();

/// The whole file as a table; refuses keys that are not in `known`.
[[nodiscard]] TomlTable top_table(const TomlValue& root, const std::string& file,
                                  std::vector<std::string>& defaults,
                                  std::span<const std::string> known);

/// The table at `key`, with `value` null when it is not there.
[[nodiscard]] TomlTable table_at(const TomlTable& parent, const std::string& key,
                                 std::span<const std::string> known);

/// The same, refused when it is not there.
[[nodiscard]] TomlTable needed_table(const TomlTable& parent, const std::string& key,
                                     std::span<const std::string> known);

/// The tables of a `[[key]]` list, in the order of the file; none when it is not there.
[[nodiscard]] std::vector<TomlTable> tables_at(const TomlTable& parent, const std::string& key,
                                               std::span<const std::string> known);

/// The value at `key`, null when it is not there.
[[nodiscard]] const TomlValue* find(const TomlTable& table, const std::string& key);

/// The value at `key`; refused with `allowed` when it is not there.
[[nodiscard]] const TomlValue& needed(const TomlTable& table, const std::string& key,
                                      const std::string& allowed);

[[nodiscard]] double number(const TomlTable& table, const std::string& key, const Bounds& bounds);
[[nodiscard]] double number_or(const TomlTable& table, const std::string& key, const Bounds& bounds,
                               double fallback);
[[nodiscard]] int whole_number(const TomlTable& table, const std::string& key, int low, int high);
[[nodiscard]] int whole_number_or(const TomlTable& table, const std::string& key, int low, int high,
                                  int fallback);
[[nodiscard]] std::string text(const TomlTable& table, const std::string& key);
[[nodiscard]] std::string text_or(const TomlTable& table, const std::string& key,
                                  const std::string& fallback);

/// One of `options`; the message for another text names the nearest one.
[[nodiscard]] std::string choice(const TomlTable& table, const std::string& key,
                                 std::span<const std::string> options);
[[nodiscard]] std::string choice_or(const TomlTable& table, const std::string& key,
                                    std::span<const std::string> options,
                                    const std::string& fallback);

/// A length given in mm [m]; more than 100 m is refused.
[[nodiscard]] double length(const TomlTable& table, const std::string& key, const Bounds& bounds);
[[nodiscard]] double length_or(const TomlTable& table, const std::string& key, const Bounds& bounds,
                               double fallback_mm);

/// A temperature given in degrees Celsius [K].
[[nodiscard]] double temperature(const TomlTable& table, const std::string& key,
                                 const Bounds& bounds_c);
[[nodiscard]] double temperature_or(const TomlTable& table, const std::string& key,
                                    const Bounds& bounds_c, double fallback_c);

/// A list of numbers, refused when its length is outside `n_low` to `n_high`.
[[nodiscard]] std::vector<double> numbers(const TomlTable& table, const std::string& key,
                                          const Bounds& bounds, int n_low, int n_high);

/// A list of different texts out of `options`.
[[nodiscard]] std::vector<std::string> choices(const TomlTable& table, const std::string& key,
                                               std::span<const std::string> options);

/// The number in `item`, which stands at `key` (alone or in a list).
[[nodiscard]] double number_in(const TomlTable& table, const std::string& key,
                               const TomlValue& item, const Bounds& bounds);

/// The text in `item`, which stands at `key`, one of `options`; `more` is added to what is allowed.
[[nodiscard]] std::string choice_in(const TomlTable& table, const std::string& key,
                                    const TomlValue& item, std::span<const std::string> options,
                                    const std::string& more = "");

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

/// A number in at most twelve digits.
[[nodiscard]] std::string show(double value);

/// "a, b, c".
[[nodiscard]] std::string join(std::span<const std::string> words);

/// The text of `known` with the smallest edit distance to `word`; empty when `known` is empty.
[[nodiscard]] std::string nearest(const std::string& word, std::span<const std::string> known);

} // namespace tiltfin
