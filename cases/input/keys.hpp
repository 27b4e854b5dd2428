#pragma once
// The keys of a table, each declared once: its name, what it may be, what holds without it, and
// what it means. Which keys are known, their defaults and their refusals all follow from here.

#include <limits>
#include <string>
#include <string_view>
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

/// False for what is not finite, too.
[[nodiscard]] bool is_within(const Bounds& bounds, double value);

[[nodiscard]] Bounds between(double low, double high);

/// A whole number.
[[nodiscard]] Bounds whole(int low, int high);

// What quantities may be, each with its reason: wide enough for anything that is built and for the
// ideal bodies of benchmarks, narrow enough that a slip of a unit or a power of ten is refused.

/// Lengths in mm, up to 100 m, a hall's; above zero: from 1 um on, where air is a continuum no more
/// (its mean free path is 0.07 um).
[[nodiscard]] Bounds length_above_zero();
[[nodiscard]] Bounds length_of_zero_or_more();

/// Sizes of cells in mm: any above zero; their number is what is bounded (cases/file/case.cpp).
[[nodiscard]] Bounds cell_length();

/// Clear air between fins, plates or faces in mm: from 0.01, less than any saw or paint leaves
/// open, to 1 m, beyond which fins do not see each other.
[[nodiscard]] Bounds gap_length();

/// Holes of a grille in mm: from 0.1, a fine weave's, to 1 m.
[[nodiscard]] Bounds hole_length();

/// Conductivities of solids in W/(m K): from 1e-9, which lets nothing through (the best insulator
/// has 1e-3), to 1e9, in which nothing differs (diamond has 2e3, heat pipes act as 1e5). Ratios
/// beyond that are lost to rounding.
[[nodiscard]] Bounds conductivity();

/// Film coefficients in W/(m2 K): from 1e-6, no heat at all, to 1e6, a wall that holds its
/// temperature (boiling metal has 1e5).
[[nodiscard]] Bounds film();

/// Contacts in m2 K/W: up to 10, as 40 cm of foam.
[[nodiscard]] Bounds contact_resistance();

/// Conductances in W/K: from 1e-6, a hair of glass, to 1e6, which is none to speak of.
[[nodiscard]] Bounds conductance();

/// Resistances of a whole device in K/W: up to 1000; a chip in free air has 100.
[[nodiscard]] Bounds resistance();

/// Densities of solids in kg/m3: from 1, aerogel's, to 25000, above osmium's 22600.
[[nodiscard]] Bounds solid_density();

/// Powers in W: from 1 uW, which no meter tells from nothing, to 1 MW, a power station's.
[[nodiscard]] Bounds power_above_zero();
[[nodiscard]] Bounds power_of_zero_or_more();

/// Degrees Celsius, above absolute zero and up to 3000, where metals have melted.
[[nodiscard]] Bounds celsius();

/// Minutes in a log: up to a century.
[[nodiscard]] Bounds minutes_above_zero();
[[nodiscard]] Bounds minutes_of_zero_or_more();

struct Key {
  std::string name;                   ///< ends in its unit: "margin_mm"
  Bounds bounds{};                    ///< of a number, or of each in a list
  std::vector<std::string> options{}; ///< of a text, or of each in a list; empty: see `allowed`
  std::string allowed{};              ///< in words, where neither bounds nor options say it
  /// What it is when it is not given; nothing: it must be given, unless `without` says more. A text
  /// is a literal: a variant that holds a std::string is copied wrongly by gcc up to 13 where
  /// memory runs out halfway (it destroys what it has not made).
  std::variant<std::monostate, double, std::string_view> fallback{};
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

/// The bounds of a key, for an option that means the same. The key must be there.
[[nodiscard]] const Bounds& bounds_of(const KeyTable& keys, const std::string& name);

/// "mm", "W/(m K)" by the end of a key's name; empty where it has none.
[[nodiscard]] std::string unit_of(const std::string& name);

/// What a key may be, in words.
[[nodiscard]] std::string allowed_words(const Key& key);

/// A fixed value as it is written in a case file; empty where there is none.
[[nodiscard]] std::string fallback_text(const Key& key);

/// A number in at most twelve digits.
[[nodiscard]] std::string show(double value);

} // namespace tiltfin
