#include "tests/bench/random_sections.hpp"

#include "mesh/index.hpp"

#include <array>
#include <cmath>
#include <random>
#include <string>

namespace tiltfin::tests {
namespace {

constexpr int mm = 1000; // in micrometres, as all lengths here

double metres(int micrometres) {
  return micrometres / 1e6;
}

Rectangle rectangle(int x, int width, int y, int height) {
  return {metres(x), metres(x + width), metres(y), metres(y + height)};
}

class Draw {
public:
  Draw(std::uint32_t seed, int number)
      : engine_((std::uint64_t{seed} << 32U) + static_cast<std::uint64_t>(number)) {}

  /// From `low` to `high`, both included.
  int whole(int low, int high) {
    return low + static_cast<int>(engine_() % static_cast<std::uint64_t>(high - low + 1));
  }

  bool once_in(int times) { return whole(1, times) == 1; }

  /// From 1 to `high`, every octave as often as the others: bit by bit of the exponent, by square
  /// roots, which are rounded alike everywhere.
  double log_uniform(double high) {
    double value = 1.0;
    double factor = high;
    for (int bit = 0; bit < 24; ++bit) {
      factor = std::sqrt(factor);
      value *= once_in(2) ? factor : 1.0;
    }
    return value;
  }

private:
  std::mt19937_64 engine_;
};

/// Along x: chip, base, fins. Along y: the fins side by side, or one bundle of them.
struct Cooler {
  bool bundled = false;
  int fins = 0;
  int gap = 0;
  int thickness = 0;
  int height = 0;
  int length = 0; ///< along y
  int base = 0;   ///< its thickness, 0: none
  int chip = 0;   ///< its thickness, 0: none, the base releases the heat
  int conductivity = 0;

  [[nodiscard]] int width() const { return chip + base + height; }
};

Cooler draw_cooler(Draw& draw, bool bundled) {
  Cooler cooler;
  cooler.bundled = bundled;
  cooler.fins = draw.whole(2, 12);
  cooler.gap = draw.whole(1 * mm, 30 * mm);
  cooler.thickness = draw.whole(800, 3 * mm);
  cooler.height = draw.whole(10 * mm, 80 * mm);
  cooler.length = bundled ? draw.whole(20 * mm, 120 * mm)
                          : cooler.fins * cooler.thickness + (cooler.fins - 1) * cooler.gap;
  cooler.base = draw.once_in(2) ? draw.whole(2 * mm, 10 * mm) : 0;
  cooler.chip = cooler.base > 0 && draw.once_in(2) ? draw.whole(1 * mm, 4 * mm) : 0;
  cooler.conductivity = draw.whole(15, 400);
  return cooler;
}

/// Surfaces that do not radiate, or each as it comes; black and white ones are not rare.
class Finish {
public:
  explicit Finish(Draw& draw) : draw_(draw), radiates_(draw.once_in(2)) {}

  double emissivity() {
    if (!radiates_) {
      return 0.0;
    }
    return draw_.once_in(8) ? draw_.whole(0, 1) : draw_.whole(0, 100) / 100.0;
  }

private:
  Draw& draw_;
  bool radiates_;
};

Side draw_wall(Draw& draw, Finish& finish, int insulated_once_in) {
  Side side;
  if (insulated_once_in > 0 && draw.once_in(insulated_once_in)) {
    side.kind = SideKind::insulated;
  } else if (draw.once_in(4)) {
    side.kind = SideKind::film;
    side.film = draw.whole(2, 50);
  } else {
    side.kind = SideKind::isothermal;
  }
  side.emissivity = finish.emissivity();
  return side;
}

std::array<Side, 4> draw_sides(Draw& draw, Finish& finish, Kind surroundings) {
  std::array<Side, 4> sides;
  if (surroundings == Kind::box) {
    for (Side& side : sides) {
      side = draw_wall(draw, finish, 0);
    }
    return sides;
  }
  if (surroundings == Kind::chimney) {
    const bool along_x = draw.once_in(2);
    for (const SideName side : {west, east, south, north}) {
      const bool open = along_x == (side == west || side == east);
      sides[side] = open ? Side{SideKind::open} : draw_wall(draw, finish, 2);
    }
    return sides;
  }
  sides.fill({SideKind::open});
  if (draw.once_in(4)) { // the machine stands or hangs before a surface of the room
    sides[index(draw.whole(west, north))] = {.emissivity = finish.emissivity()};
  }
  return sides;
}

Solid solid(const std::string& name, const Rectangle& extent, double conductivity, Role role,
            double emissivity) {
  return {.name = name,
          .extent = extent,
          .conductivity_x = conductivity,
          .conductivity_y = conductivity,
          .role = role,
          .emissivity = emissivity};
}

double draw_resistance(Draw& draw) {
  return draw.whole(1, 1000) / 1e6;
}

/// Chip and base, with the contact between them, and where the fins begin along x.
int add_foot(Draw& draw, const Cooler& cooler, int x, int y, Finish& finish, Section& section) {
  if (cooler.base == 0) {
    return x;
  }
  const double emissivity = finish.emissivity();
  section.base = 0;
  section.solids.push_back(solid("base", rectangle(x + cooler.chip, cooler.base, y, cooler.length),
                                 cooler.conductivity, Role::base, emissivity));
  if (cooler.chip > 0) {
    const int length = draw.whole(cooler.length / 5, cooler.length);
    const int place = draw.whole(0, cooler.length - length);
    section.solids.push_back(solid("chip", rectangle(x, cooler.chip, y + place, length), 120.0,
                                   Role::source, finish.emissivity()));
    if (draw.once_in(2)) {
      section.contacts.push_back({0, 1, draw_resistance(draw)});
    }
  }
  section.solids.back().heat_share = 1.0;
  return x + cooler.chip + cooler.base;
}

void add_bundle(Draw& draw, const Cooler& cooler, int x, int y, Finish& finish, Section& section) {
  FinMedium fins;
  fins.name = "fins";
  fins.extent = rectangle(x, cooler.height, y, cooler.length);
  fins.gap = metres(cooler.gap);
  fins.fin_thickness = metres(cooler.thickness);
  fins.conductivity = cooler.conductivity;
  fins.heat_share = cooler.base > 0 ? 0.0 : 1.0;
  if (draw.once_in(4)) { // like spokes: the gap at the ends differs by up to three fifths
    fins.gap_growth = draw.whole(-60, 60) * cooler.gap / (50.0 * cooler.length);
  }
  fins.emissivity = finish.emissivity();
  section.media.push_back(fins);
}

void add_fins(Draw& draw, const Cooler& cooler, int x, int y, Finish& finish, Section& section) {
  const double emissivity = finish.emissivity();
  const bool pressed_in = cooler.base > 0 && draw.once_in(8); // else of one piece
  const double resistance = pressed_in ? draw_resistance(draw) : 0.0;
  const auto before = static_cast<int>(section.solids.size());
  for (int k = 0; k < cooler.fins; ++k) {
    section.solids.push_back(solid(
        "fin-" + std::to_string(k + 1),
        rectangle(x, cooler.height, y + k * (cooler.thickness + cooler.gap), cooler.thickness),
        cooler.conductivity, Role::fin, emissivity));
    if (cooler.base == 0) {
      section.solids.back().heat_share = 1.0 / cooler.fins;
    }
    if (pressed_in) {
      section.contacts.push_back({section.base, before + k, resistance});
    }
  }
  if (cooler.base == 0) {
    section.base = cooler.fins / 2;
  }
}

/// A board behind the cooler, as high as the machine.
void add_board(int x, int y, int height, Finish& finish, Section& section) {
  Solid board = solid("board", rectangle(x, 1600, y, height), 0.3, Role::board, 0.0);
  board.conductivity_y = 15.0;
  board.emissivity = finish.emissivity();
  section.solids.push_back(board);
}

Section draw_section(Draw& draw, const Cooler& cooler, Kind surroundings) {
  Finish finish(draw);
  Section section;
  section.sides = draw_sides(draw, finish, surroundings);
  std::array<int, 4> clearance{};
  for (int& side : clearance) {
    side = draw.whole(3 * mm, 60 * mm);
  }
  const SideKind behind = section.sides[west].kind;
  const bool against = behind == SideKind::insulated || behind == SideKind::film;
  if (surroundings != Kind::room && against && draw.once_in(4)) {
    clearance[west] = 0;
  }
  const int margin = surroundings == Kind::room ? draw.whole(80 * mm, 160 * mm) : 0;
  const int width = clearance[west] + cooler.width() + clearance[east];
  const int height = clearance[south] + cooler.length + clearance[north];
  section.width = metres(width + 2 * margin);
  section.height = metres(height + 2 * margin);
  const int y = margin + clearance[south];
  const int x = add_foot(draw, cooler, margin + clearance[west], y, finish, section);
  if (cooler.bundled) {
    add_bundle(draw, cooler, x, y, finish, section);
  } else {
    add_fins(draw, cooler, x, y, finish, section);
  }
  if (surroundings == Kind::room) {
    section.machine = rectangle(margin, width, margin, height);
    if (draw.once_in(2)) {
      add_board(margin, margin, height, finish, section);
    }
  }
  return section;
}

/// The default, with wider cells where these would be too many.
Resolution affordable_resolution(const Section& section) {
  Resolution resolution;
  double factor = 1.0;
  for (double cells = make_mesh(section, resolution).n_cells(); cells > most_cells;
       cells = make_mesh(section, resolution).n_cells()) {
    factor *= 1.02 * std::sqrt(cells / most_cells);
    resolution = with_cells_scaled(section, {}, factor);
  }
  return resolution;
}

} // namespace

const char* name(Kind kind) {
  constexpr std::array<const char*, 4> names{"box", "chimney", "room", "bundle"};
  return names[static_cast<std::size_t>(kind)];
}

RandomSection random_section(std::uint32_t seed, int number) {
  Draw draw(seed, number);
  RandomSection result;
  result.number = number;
  result.kind = static_cast<Kind>(draw.whole(0, 3));
  const bool bundled = result.kind == Kind::bundle;
  const Kind surroundings = bundled ? static_cast<Kind>(draw.whole(0, 2)) : result.kind;
  const Cooler cooler = draw_cooler(draw, bundled);
  result.fins = cooler.fins;
  result.gap = metres(cooler.gap);
  result.tilt = draw.once_in(3) ? 90.0 * draw.whole(0, 3) : draw.whole(0, 3599) / 10.0;
  result.section = draw_section(draw, cooler, surroundings);
  const Vector3 down = tilted_orientation(result.tilt).down;
  result.condition = {standard_gravity * down[0], standard_gravity * down[1],
                      draw.log_uniform(500.0)};
  result.resolution = affordable_resolution(result.section);
  return result;
}

} // namespace tiltfin::tests
