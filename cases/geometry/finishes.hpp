#pragma once
// What surfaces are finished with, and how they radiate.

#include "cases/input/toml_reader.hpp"

#include <optional>
#include <span>
#include <string>
#include <vector>

namespace tiltfin {

/// A finish of the table, or a bare number under no name.
struct Finish {
  std::string name;
  double emissivity = 0.0; ///< total, hemispherical, near 350 K; 0: does not radiate [-]
  std::string source;      ///< where the value comes from
};

/// Common finishes with their emissivities and sources.
[[nodiscard]] std::span<const Finish> known_finishes();

/// The keys finish and emissivity.
[[nodiscard]] KeyTable finish_keys(const std::string& of = "of the surface");

/// The emissivity by `finish` (a name of the table) or `emissivity` (0 to 1); both are refused, and
/// neither means 0. Throws InputError.
[[nodiscard]] double read_emissivity(const TomlTable& table);

/// The same, where `finish` may also be a list of names to compare. At least one.
[[nodiscard]] std::vector<Finish> read_finishes(const TomlTable& table);

} // namespace tiltfin
