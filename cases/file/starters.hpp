#pragma once
// Cases to start from, one for every cooler with a table of its own: the files in cases/starters,
// which the build puts into the program.

#include <span>
#include <string>

namespace tiltfin {

struct Starter {
  const char* type = nullptr; ///< the cooler's table: "block"
  const char* text = nullptr; ///< of the case file
};

/// All of them, by name.
[[nodiscard]] std::span<const Starter> starters();

/// The case file of a type. Throws InputError, which lists the types, when there is no such one.
[[nodiscard]] std::string starter_text(const std::string& type);

} // namespace tiltfin
