#pragma once
// From the geometry tables of a case file to its panel states: a cooler on a board in a case
// ([stack], [block] or [ring] with [board], [case], [[part]] and [[room.surface]]), or a section
// drawn by hand ([section] with its tables). First all is read, then the sections are made.

#include "cases/geometry/cooler.hpp"
#include "cases/geometry/finishes.hpp"
#include "cases/geometry/housing.hpp"
#include "cases/geometry/room.hpp"
#include "cases/input/toml_reader.hpp"
#include "mesh/section.hpp"
#include "solver/condition.hpp"

#include <optional>
#include <string>
#include <vector>

namespace tiltfin {

/// One panel state of the case with the sections that it leads to.
/// Where several finishes of the cooler are compared, every panel state exists with each of them.
struct PanelState {
  std::string name;   ///< ends in "-" and the finish where several are compared
  std::string finish; ///< of the cooler, where several are compared
  /// By orientation, where what stands near the machine or the cooler's section depends on it; else
  /// one for all.
  std::vector<Section> sections;
  /// For angles that are none of the orientations, where the first section is not the one: a ring's
  /// plane section beside turned ones.
  std::optional<Section> at_angles{};

  /// In the orientation of this index.
  [[nodiscard]] const Section& section_in(std::size_t orientation) const {
    return sections.size() == 1 ? sections.front() : sections[orientation];
  }
  /// At any angle.
  [[nodiscard]] const Section& section_at_angles() const {
    return at_angles ? *at_angles : sections.front();
  }
};

/// The geometry tables as read.
struct Geometry {
  std::string place; ///< of the cooler's table in its file, for messages
  Cooler cooler;
  Board board;                    ///< of a cooler
  Housing housing;                ///< of a cooler; of a drawn section its one panel state alone
  std::vector<Finish> finishes{}; ///< of the cooler, at least one
  std::vector<Orientation> orientations{}; ///< of the case
};

/// The tables at the top of a case file that are read here, but [[part]].
[[nodiscard]] KeyTable geometry_tables();

/// Which table describes the geometry; refuses none, two, and tables that belong to another.
[[nodiscard]] std::string geometry_table(const TomlTable& top);

/// Throws InputError.
[[nodiscard]] Geometry read_geometry(const TomlTable& top, const TomlTable& room_table,
                                     const Room& room,
                                     const std::vector<Orientation>& orientations);

/// Whether the air is meshed round a machine.
[[nodiscard]] bool has_machine(const Geometry& geometry);

/// Whether fins are seen from their faces.
[[nodiscard]] bool has_media(const Geometry& geometry);

/// Of heat in the base, in series with the section [K/W].
[[nodiscard]] double spreading_of(const Geometry& geometry);

/// What the section leaves out.
[[nodiscard]] std::vector<std::string> notes_of(const Geometry& geometry);

/// Of all panel states, as declared.
[[nodiscard]] std::vector<std::string> panel_names(const Geometry& geometry);

/// The panel states of these names with their sections. `radiant_zone`: see Section. Throws
/// InputError where something does not fit.
[[nodiscard]] std::vector<PanelState>
make_panels(const Geometry& geometry, const std::vector<std::string>& names, double radiant_zone);

} // namespace tiltfin
