#include "cases/geometry/round_ring.hpp"

#include "cases/geometry/section_parts.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <numbers>

namespace tiltfin {
namespace {

constexpr double turn = 2.0 * std::numbers::pi;
constexpr double off_axis = 0.1; // of the case's height: further from its middle is not round
constexpr int n_bands = 3; // of openings along the round wall; six change rises by 1 %, one by 11 %
constexpr double whole_wall = 0.98;

/// Of the disc that has the area of a rectangle [m].
double disc_radius(double length, double depth) {
  return std::sqrt(length * depth / std::numbers::pi);
}

double case_depth(const Enclosure& enclosure) {
  return enclosure.depth > 0.0 ? enclosure.depth : enclosure.height;
}

double board_depth(const Board& board, const Enclosure& enclosure) {
  return board.depth > 0.0 ? board.depth : std::min(board.height, case_depth(enclosure));
}

double case_radius(const Enclosure& enclosure) {
  return disc_radius(enclosure.height, case_depth(enclosure));
}

bool lets_through(const Wall& wall) {
  return wall.open || wall.grille;
}

void add_opening_grille(Section& section, const Wall& wall, const std::string& name,
                        const Rectangle& line) {
  if (!wall.open && wall.grille) {
    Grille grille = *wall.grille;
    grille.name = name;
    grille.line = line;
    section.grilles.push_back(grille);
  }
}

/// The case round a ring, in the half section.
class RoundCase {
public:
  RoundCase(const Enclosure& enclosure, const Walls& walls, double depth)
      : enclosure_(enclosure),
        walls_(walls),
        depth_(depth),
        radius_(disc_radius(enclosure.height, depth)),
        inner_{inner_outline(enclosure).x0, inner_outline(enclosure).x1, 0.0, radius_} {}

  [[nodiscard]] Section section() const {
    Section section;
    section.axis_distance = 0.0;
    const double t = enclosure_.wall_thickness;
    const bool in_room = enclosure_.margin > 0.0;
    section.width = in_room ? inner_.x1 + t + enclosure_.margin_on(east) : enclosure_.width;
    section.height = in_room ? radius_ + t + enclosure_.margin : radius_;
    section.depth = turn * section.height;
    const Side room{SideKind::open, enclosure_.room_temperature, 0.0, 0.0};
    section.sides[south] = {SideKind::symmetry, enclosure_.room_temperature, 0.0, 0.0};
    section.sides[north] = in_room ? room : enclosure_.outside;
    for (const SideName end : {west, east}) {
      if (in_room) {
        const auto& nearby = enclosure_.nearby[end];
        section.sides[end] = nearby ? nearby->wall : room;
      } else {
        section.sides[end] = lets_through(walls_[end]) ? room : enclosure_.outside;
        add_opening_grille(section, walls_[end], name_of("grille", end), end_face(end));
      }
    }
    if (in_room) {
      section.machine = Rectangle{inner_.x0 - t, inner_.x1 + t, 0.0, radius_ + t};
      add_end(section, west);
      add_end(section, east);
      add_round_wall(section);
    }
    return section;
  }

private:
  [[nodiscard]] static std::string name_of(const char* what, SideName side) {
    return fmt::format("{}-{}", what, side_names[side]);
  }

  [[nodiscard]] Rectangle end_face(SideName end) const {
    const double x = end == west ? inner_.x0 : inner_.x1;
    return {x, x, 0.0, radius_};
  }

  void add_end(Section& section, SideName end) const {
    const Wall& wall = walls_[end];
    if (lets_through(wall)) {
      const std::string name = name_of(wall.open ? "panel" : "grille", end);
      add_opening_grille(section, wall, name, end_face(end));
      section.openings.push_back({name, end_face(end)});
      return;
    }
    const double t = enclosure_.wall_thickness;
    const Rectangle sheet = end == west ? Rectangle{inner_.x0 - t, inner_.x0, 0.0, radius_}
                                        : Rectangle{inner_.x1, inner_.x1 + t, 0.0, radius_};
    add_solid(section, name_of("wall", end), sheet, enclosure_.wall_conductivity, Role::wall,
              enclosure_.emissivity);
  }

  /// Sheet of the round wall; corners belong to it.
  void add_sheet(Section& section, const std::string& name, double x0, double x1) const {
    const double t = enclosure_.wall_thickness;
    add_solid(section, name,
              {x0 - inner_.x0 < nanometre ? inner_.x0 - t : x0,
               inner_.x1 - x1 < nanometre ? inner_.x1 + t : x1, radius_, radius_ + t},
              enclosure_.wall_conductivity, Role::wall, enclosure_.emissivity);
  }

  /// Openings first those that are off, then those that are perforated, between sheets.
  void add_round_wall(Section& section) const {
    const double own = depth_ / (turn * radius_); // share of the turn that a narrow wall takes
    double off = 0.0;
    double perforated = 0.0;
    const Wall* grille = nullptr;
    for (const SideName side : {south, north}) {
      off += walls_[side].open ? own : 0.0;
      if (!walls_[side].open && walls_[side].grille) {
        perforated += own;
        grille = &walls_[side];
      }
    }
    if (off + perforated == 0.0) {
      add_sheet(section, "wall-round", inner_.x0, inner_.x1);
      return;
    }
    section.openings.push_back(
        {off > 0.0 ? "panel-round" : "grille-round", {inner_.x0, inner_.x1, radius_, radius_}});
    const bool is_whole = off + perforated > whole_wall;
    const int n = is_whole && (off == 0.0 || perforated == 0.0) ? 1 : n_bands;
    const double period = inner_.width() / n;
    const double share = is_whole ? 1.0 / (off + perforated) : 1.0;
    const double sheet = is_whole ? 0.0 : 0.5 * period * (1.0 - off - perforated);
    double x = inner_.x0;
    for (int k = 0; k < n; ++k) {
      const double first = inner_.x0 + k * period + sheet;
      const double last = inner_.x0 + (k + 1) * period - sheet;
      if (!is_whole) {
        add_sheet(section, fmt::format("wall-round-{}", k + 1), x, first);
      }
      if (grille != nullptr) {
        add_opening_grille(section, *grille, fmt::format("grille-round-{}", k + 1),
                           {first + period * share * off, last, radius_, radius_});
      }
      x = last;
    }
    if (!is_whole) {
      add_sheet(section, fmt::format("wall-round-{}", n + 1), x, inner_.x1);
    }
  }

  const Enclosure& enclosure_;
  const Walls& walls_;
  double depth_;
  double radius_;
  Rectangle inner_;
};

void check_radius(const std::string& name, double radius, const std::string& into, double largest) {
  if (radius > largest + nanometre) {
    throw DoesNotFit(fmt::format("found {} of {:.6g} mm radius lying flat, allowed at most {:.6g} "
                                 "mm ({})",
                                 name, 1000.0 * radius, 1000.0 * largest, into));
  }
}

/// "upright, flat-up".
std::string names_where(std::span<const Orientation> orientations, bool along) {
  std::vector<std::string> names;
  for (const Orientation& orientation : orientations) {
    if (is_along_core(orientation) == along) {
      names.push_back(orientation.name);
    }
  }
  return join(names);
}

} // namespace

std::string keeps_plane_section(const Ring& ring, const Board& board, const Housing& housing) {
  if (!housing.parts.empty()) {
    return "a [[part]] is not round";
  }
  const Enclosure& first = housing.enclosures.front();
  if (std::ranges::any_of(housing.enclosures, [](const Enclosure& enclosure) {
        return enclosure.nearby[south] || enclosure.nearby[north];
      })) {
    return "a [[room.surface]] beside it is not round";
  }
  if (first.margin == 0.0 && std::ranges::any_of(housing.panels, [](const Panel& panel) {
        return lets_through(panel.walls[south]) || lets_through(panel.walls[north]);
      })) {
    return "a narrow wall that lets air through needs a meshed room (room.margin_mm)";
  }
  const double middle = board.bottom + ring.mount.centre - 0.5 * first.height;
  if (std::abs(middle) > off_axis * first.height) {
    return fmt::format("the core stands {:.4g} mm from the middle of the case, more than a tenth "
                       "of its height",
                       1000.0 * std::abs(middle));
  }
  return "";
}

bool is_along_core(const Orientation& orientation) {
  return std::abs(orientation.down[1]) < 1e-9 && std::abs(orientation.down[2]) < 1e-9;
}

Section round_section_of(const Ring& ring, const Board& board, const Enclosure& enclosure,
                         const Walls& walls) {
  const double case_disc = case_radius(enclosure);
  const double board_disc = disc_radius(board.height, board_depth(board, enclosure));
  const double chip_disc = disc_radius(ring.mount.chip.length, ring.chip_depth);
  const double core = 0.5 * ring.mount.base_length;
  const double rim = 0.5 * ring.outer_diameter;
  check_radius("a board", board_disc, "the case", case_disc);
  check_radius("a chip", chip_disc, "the board", board_disc);
  check_radius("fins", rim, "the case", case_disc);
  Section section = RoundCase(enclosure, walls, case_depth(enclosure)).section();
  const double back = inner_outline(enclosure).x0 + board.behind;
  const double board_face = back + board.thickness;
  const double chip_face = board_face + ring.mount.chip.thickness;
  const double base_face = chip_face + ring.mount.base_thickness;
  const double face = base_face + ring.fin_height;
  add_mount(section, ring.mount, board,
            {{back, board_face, 0.0, board_disc},
             {board_face, chip_face, 0.0, chip_disc},
             {chip_face, face, 0.0, core}});
  const double pitch_growth = turn / ring.fins;
  FinMedium fins;
  fins.name = "fins";
  fins.extent = {base_face, face, core, rim};
  fins.fin_thickness = ring.fin_thickness;
  fins.gap = pitch_growth * 0.5 * (core + rim) - ring.fin_thickness;
  fins.gap_growth = pitch_growth;
  fins.conductivity = ring.mount.conductivity;
  fins.emissivity = ring.mount.emissivity;
  section.media.push_back(fins);
  snap_edges(section);
  return section;
}

std::vector<std::string> round_notes(const Ring& ring, const Board& board, const Housing& housing,
                                     std::span<const Orientation> orientations) {
  const std::string flat = names_where(orientations, true);
  const std::string others = names_where(orientations, false);
  if (flat.empty()) {
    return {};
  }
  const std::string reason = keeps_plane_section(ring, board, housing);
  if (!reason.empty()) {
    return {fmt::format("In {} the section is the same plane one, not turned about the core's "
                        "axis: {}. Take its numbers as a sketch.",
                        flat, reason)};
  }
  const Enclosure& enclosure = housing.enclosures.front();
  std::vector<std::string> notes{fmt::format(
      "In {} gravity lies along the core's axis, and the section is the half of a plane through "
      "it, turned about it: core and fins are round as they are, the fins stand like spokes. Case "
      "({:.4g} x {:.4g} mm), board ({:.4g} x {:.4g}) and chip ({:.4g} x {:.4g}) are discs of the "
      "same area, {:.4g}, {:.4g} and {:.4g} mm across, all about the axis; where depths are not "
      "given (case.depth_mm, board.depth_mm, ring.chip_depth_mm) they are square.",
      flat, 1000.0 * enclosure.height, 1000.0 * case_depth(enclosure), 1000.0 * board.height,
      1000.0 * board_depth(board, enclosure), 1000.0 * ring.mount.chip.length,
      1000.0 * ring.chip_depth, 2000.0 * case_radius(enclosure),
      2000.0 * disc_radius(board.height, board_depth(board, enclosure)),
      2000.0 * disc_radius(ring.mount.chip.length, ring.chip_depth))};
  if (std::ranges::any_of(housing.panels, [](const Panel& panel) {
        return lets_through(panel.walls[south]) || lets_through(panel.walls[north]);
      })) {
    notes.push_back(fmt::format(
        "In {} what is off or perforated of the south and north walls is {} bands round the case, "
        "with the area of those walls; the sheet between them is that of the other two narrow "
        "walls.",
        flat, n_bands));
  }
  notes.emplace_back(
      "The air of a turned section is the same all round: disturbances that are not are not seen.");
  notes.push_back(fmt::format(
      "{} the section is plane, a sketch: between it and the turned one a part of every difference "
      "is the section's. What follows is of the plane one.",
      others.empty() ? "At all angles of tilts"
                     : fmt::format("In {} and at all angles of tilts", others)));
  return notes;
}

} // namespace tiltfin
