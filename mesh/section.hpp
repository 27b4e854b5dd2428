#pragma once
// The section: the plane cut through a cooler that the solver works on, drawn in the board frame.
// x is the board's normal (from board to cooler), y points up when the board stands upright.
// Nothing here turns; turning the machine turns gravity (solver/condition). Lengths in m,
// temperatures in K, conductivities in W/(m K).

#include <array>
#include <cmath>
#include <optional>
#include <string>
#include <vector>

namespace tiltfin {

inline constexpr double zero_celsius = 273.15; ///< [K]
inline constexpr double same_length = 1e-9;    ///< closer than this is the same place [m]

struct Rectangle {
  double x0 = 0.0; ///< [m]
  double x1 = 0.0; ///< [m]
  double y0 = 0.0; ///< [m]
  double y1 = 0.0; ///< [m]

  [[nodiscard]] double width() const { return x1 - x0; }
  [[nodiscard]] double height() const { return y1 - y0; }
  [[nodiscard]] bool contains(double x, double y) const {
    return x > x0 && x < x1 && y > y0 && y < y1;
  }
};

/// The outer sides of the section, in this order everywhere.
enum SideName { west = 0, east = 1, south = 2, north = 3 };
inline constexpr std::array<const char*, 4> side_names{"west", "east", "south", "north"};

enum class SideKind {
  isothermal, ///< no-slip wall at a temperature
  insulated,  ///< no-slip wall, no heat
  film,       ///< no-slip wall that gives heat to the outside through a film coefficient
  open,       ///< free opening to the room
  symmetry    ///< impermeable, free of shear, no heat
};

struct Side {
  SideKind kind = SideKind::insulated;
  double temperature = 298.15; ///< wall (isothermal), outside (film) or incoming air (open) [K]
  double film = 0.0;           ///< film coefficient [W/(m2 K)]
  double emissivity = 0.0;     ///< of a wall's inner face, 0 to 1; open sides are black [-]
};

/// What a solid is for; only reports read it.
enum class Role { other, source, base, fin, board, wall };
inline constexpr std::array<const char*, 6> role_names{"other", "source", "base",
                                                       "fin",   "board",  "wall"};

[[nodiscard]] inline const char* name(Role role) {
  return role_names[static_cast<std::size_t>(role)];
}

struct Solid {
  std::string name;
  Rectangle extent;
  double conductivity_x = 1.0; ///< [W/(m K)]
  double conductivity_y = 1.0; ///< [W/(m K)]
  double heat_share = 0.0;     ///< share of the condition's power released here [-]
  Role role = Role::other;
  double emissivity = 0.0; ///< of every face that has no value of its own, 0 to 1 [-]
  std::array<std::optional<double>, 4> face_emissivity{}; ///< by the SideName it looks to [-]
  double power = 0.0; ///< released besides its share, at every power of the condition [W]
};

/// Thermal resistance on every face that two solids share.
struct Contact {
  int solid_a = 0;
  int solid_b = 0;
  double resistance = 0.0; ///< [m2 K/W]
};

/// A conductance between patches of two solids that does not block the flow between them
/// (columns, heat pipes, screws).
struct Link {
  std::string name;
  int solid_a = 0;
  Rectangle patch_a; ///< the part of solid_a that takes part, by area
  int solid_b = 0;
  Rectangle patch_b;
  double conductance = 0.0; ///< per metre of depth [W/(K m)]
};

/// A bundle of parallel fins seen from its face: fins and gaps follow one another out of the plane,
/// so that metal and air share every place of the rectangle. The metal is one piece with every
/// solid and every other medium that shares an edge with it, and gives heat to clear air across its
/// other edges. See solver/equations.hpp for what happens in it.
struct FinMedium {
  std::string name;
  Rectangle extent;
  double gap = 0.0;           ///< clear air between two fins, halfway up along y [m]
  double fin_thickness = 0.0; ///< [m]
  double conductivity = 1.0;  ///< of the fins [W/(m K)]
  double heat_share = 0.0;    ///< share of the condition's power released in the fins [-]
  /// Mean square over squared mean of the velocity across a gap: 6/5 for a parabola, 1 for a flat
  /// profile.
  double profile = 1.2;
  double gap_growth = 0.0; ///< of the gap along y: fins that spread like spokes [-]
  double emissivity = 0.0; ///< of the fins' surfaces, 0 to 1 [-]

  [[nodiscard]] double gap_at(double y) const {
    return gap + gap_growth * (y - 0.5 * (extent.y0 + extent.y1));
  }
  /// Share of the gaps.
  [[nodiscard]] double porosity_at(double y) const {
    return gap_at(y) / (gap_at(y) + fin_thickness);
  }
  [[nodiscard]] double narrowest_gap() const {
    return gap - 0.5 * std::abs(gap_growth) * extent.height();
  }
};

/// A perforated sheet of no thickness across the air, seen as a loss of pressure
///     dp = linear mu u + quadratic rho u |u| / 2
/// at the velocity u of the air in front of it. See grille_losses.
struct Grille {
  std::string name;
  Rectangle line;         ///< of zero width or zero height
  double linear = 0.0;    ///< [1/m]
  double quadratic = 0.0; ///< [-]
};

/// A straight line across which the exchange of air is reported, parallel to an axis.
struct Opening {
  std::string name;
  Rectangle line; ///< of zero width or zero height
};

/// How deep the section is at a place, over Section::depth. It is linear in y: of a plane section 1
/// everywhere, of a body of revolution in proportion to the distance from its axis.
struct DepthRatio {
  double at_zero = 1.0; ///< at y = 0 [-]
  double growth = 0.0;  ///< along y [1/m]

  [[nodiscard]] double at(double y) const { return at_zero + growth * y; }
  [[nodiscard]] bool varies() const { return growth != 0.0; }
};

struct Section {
  double width = 0.0;  ///< x from 0 to width [m]
  double height = 0.0; ///< y from 0 to height [m]
  double depth = 1.0;  ///< out of the plane; where it varies, what it is compared with [m]
  /// Of a body of revolution whose axis runs along x: the distance of y = 0 from the axis, 0 when
  /// the south side is the axis itself. The depth is then 2 pi (axis_distance + y), and flows, heat
  /// and conductances "per metre of depth" are those of the whole turn over Section::depth. None:
  /// a plane section [m].
  std::optional<double> axis_distance{};
  std::vector<Solid> solids;
  std::array<Side, 4> sides; ///< by SideName
  std::vector<Contact> contacts;
  std::vector<Link> links;
  std::vector<Opening> openings;
  std::vector<FinMedium> media;
  std::vector<Grille> grilles;
  double radiant_zone = 0.0; ///< length of the zones that radiation is exchanged between, 0: choose
  std::optional<Rectangle> machine; ///< outline of the machine when a room is meshed around it
  int base = -1;                    ///< solid whose temperature is reported, -1: none
};

/// 1, or 2 pi (axis_distance + y) / depth.
[[nodiscard]] DepthRatio depth_ratio(const Section& section);

/// An air run between two facing obstacles (solids, or sides of the section when the index is -1).
struct Gap {
  int solid_a = -1;
  int solid_b = -1;
  Rectangle extent;     ///< the air between them over the common width
  bool across_x = true; ///< true: the run is along x (a west of b); false: along y
  [[nodiscard]] double size() const { return across_x ? extent.width() : extent.height(); }
};

/// Every air run bounded by solids or closed sides at both ends, in both directions, one entry per
/// pair of facing obstacles and direction (several where something interrupts their common width).
/// Sides count as obstacles only where they are walls; symmetry is none.
[[nodiscard]] std::vector<Gap> find_gaps(const Section& section);

/// Gaps between two solids of role fin or base: the fin gaps.
[[nodiscard]] std::vector<Gap> fin_gaps(const Section& section);

/// Throws MeshError when the section cannot be meshed: a
/// rectangle outside or of no area, two solids overlapping, a link or contact that names a solid
/// that is not there, a patch that misses its solid, a medium that overlaps a solid or a medium, a
/// grille inside a solid, sizes that are not positive and finite.
void check(const Section& section);

/// Losses of a perforated sheet from the share of its area that is open [-], the diameter of its
/// round holes and its thickness [m]: creeping flow through the holes (Sampson 1891 with the length
/// of the hole after Dagan, Weinbaum and Pfeffer 1982, from memory) plus the loss of sharp-edged
/// holes at large Reynolds numbers (Idelchik's formula, from memory). Published loss factors hold
/// above a hole Reynolds number of about 1000; a passive case has 5 to 100 and the linear part
/// rules. Throws MeshError when the share is not between 0 and 1 or a length not
/// positive.
[[nodiscard]] Grille grille_losses(double free_area_ratio, double hole_diameter, double thickness);

[[nodiscard]] inline bool is_wall(SideKind kind) {
  return kind != SideKind::open;
}

} // namespace tiltfin
