#pragma once
// A section drawn by hand: [section] with [sides], [[solid]], [[contact]], [[link]], [[medium]] and
// [[grille]].

#include "cases/geometry/fins.hpp"
#include "cases/geometry/mount.hpp"
#include "cases/input/toml_reader.hpp"
#include "mesh/section.hpp"

#include <optional>
#include <string>
#include <vector>

namespace tiltfin {

/// What it shows is all there is to know of it.
struct Drawn {
  static constexpr const char* table = "section";
  Section section; ///< but for the zones of radiation, which are [mesh]'s
};

/// Throws InputError.
[[nodiscard]] Drawn read_drawn(const TomlTable& top);

/// What the section leaves out.
[[nodiscard]] std::vector<std::string> notes_of(const Drawn& drawn);

[[nodiscard]] bool has_media(const Drawn& drawn);

/// None: nothing says what is out of the plane.
[[nodiscard]] std::optional<Metal> metal_of(const Drawn& drawn);

[[nodiscard]] NoFinArray fins_of(const Drawn& drawn);

} // namespace tiltfin
