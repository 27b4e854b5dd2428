#pragma once
// How the parts of a section look, in its drawing and in the drawing's legend.

#include "mesh/section.hpp"
#include "post/views/svg.hpp"

#include <array>

namespace tiltfin {

inline constexpr const char* medium_fill = "#dbe8f5";
inline constexpr const char* link_colour = "#8a2f6b";

// Lines, as SVG attributes.
inline constexpr const char* link_line =
    R"x(stroke="#8a2f6b" stroke-width="1.4" stroke-dasharray="6 3")x";
inline constexpr const char* opening_line =
    R"x(stroke="#00707a" stroke-width="2" stroke-dasharray="3 3")x";
inline constexpr const char* grille_line =
    R"x(stroke="#26262e" stroke-width="3" stroke-dasharray="2 2")x";

/// How solids of a role are drawn; `label` is the colour of a name written on them.
struct RoleStyle {
  Role role;
  const char* fill;
  const char* label;
};

/// In the order of the legend.
inline constexpr std::array<RoleStyle, 6> role_styles{{{Role::source, "#b5403a", "#ffffff"},
                                                       {Role::base, "#46557a", "#ffffff"},
                                                       {Role::fin, "#8fb4d9", ink},
                                                       {Role::board, "#c9b458", ink},
                                                       {Role::wall, "#9a9a9e", ink},
                                                       {Role::other, "#d9cfe6", ink}}};

} // namespace tiltfin
