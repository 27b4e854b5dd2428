#pragma once
// The keys of a table, each declared once: its name, what it may be, what holds without it, and
// what it means. Which keys are known, their defaults and their refusals all follow from here.

#include <limits>
#include <string>
#include <variant>
#include <vector>

namespace tiltfin {

/// What a number may be.
struct Bounds {
  double low = -std::numeric_limits<double>::infinity();
  double high = std::numeric_limits<double>::infinity(); ///< always allowed
  bool low_is_allowed = true;
  bool is_whole = false;
};

/// "a number above 0 and at most 100000".
[[nodiscard]] std::string in_words(const Bounds& bounds);

[[nodiscard]] Bounds above_zero();
[[nodiscard]] Bounds zero_or_more();
[[nodiscard]] Bounds between(double low, double high);

/// A whole number.
[[nodiscard]] Bounds whole(int low, int high);

/// Lengths in mm: up to 100 m.
[[nodiscard]] Bounds length_above_zero();
[[nodiscard]] Bounds length_of_zero_or_more();

/// Degrees Celsius above absolute zero.
[[nodiscard]] Bounds celsius();

struct Key {
  std::string name;                   ///< ends in its unit: "margin_mm"
  Bounds bounds{};                    ///< of a number, or of each in a list
  std::vector<std::string> options{}; ///< of a text, or of each in a list; empty: see `allowed`
  std::string allowed{};              ///< in words, where neither bounds nor options say it
  /// What it is when it is not given; nothing: it must be given, unless `without` says more.
  std::variant<std::monostate, double, std::string> fallback{};
  std::string without{};                   ///< what holds without it, where that is no fixed value
  const std::vector<Key>* table = nullptr; ///< its keys, where it is a table
  bool is_list = false;                    ///< of such tables, written [[name]]
  std::string meaning{};
};
using KeyTable = std::vector<Key>;

/// The keys of both.
[[nodiscard]] KeyTable joined(KeyTable keys, const KeyTable& more);

[[nodiscard]] std::vector<std::string> names_of(const KeyTable& keys);

/// Null when there is none of this name.
[[nodiscard]] const Key* find_key(const KeyTable& keys, const std::string& name);

/// "mm", "W/(m K)" by the end of a key's name; empty where it has none.
[[nodiscard]] std::string unit_of(const std::string& name);

/// What a key may be, in words.
[[nodiscard]] std::string allowed_words(const Key& key);

/// A fixed value as it is written in a case file; empty where there is none.
[[nodiscard]] std::string fallback_text(const Key& key);

/// A number in at most twelve digits.
[[nodiscard]] std::string show(double value);

} // namespace tiltfin
