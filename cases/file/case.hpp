#pragma once
// A case file as a struct. Units end here: everything inside is SI, temperatures in K.

#include "cases/file/bench_case.hpp"
#include "cases/file/making_limits.hpp"
#include "cases/file/tilts.hpp"
#include "cases/geometry/geometry.hpp"
#include "cases/input/input_error.hpp"
#include "cases/input/toml_tree.hpp"
#include "mesh/section.hpp"
#include "mesh/tensor_mesh.hpp"
#include "solver/air.hpp"
#include "solver/condition.hpp"
#include "solver/problem.hpp"

#include <optional>
#include <string>
#include <vector>

namespace tiltfin {

struct Case {
  std::string file; ///< that it was read from, for messages
  std::string text; ///< of that file
  TomlValue tree;   ///< the same, parsed
  std::string title;
  Cooler cooler;                  ///< as it was read
  double case_depth = 0.0;        ///< inside, out of the plane; 0: not given [m]
  double board_depth = 0.0;       ///< out of the plane; 0: not given [m]
  std::vector<PanelState> panels; ///< at least one
  std::vector<Orientation> orientations;
  std::string orientations_place;    ///< the file's line and key that list them, for messages
  Tilts tilts;                       ///< that the machine is turned through as well
  std::vector<double> powers;        ///< ascending [W]
  bool adds_powers = true;           ///< near each power limit, until two are close around it
  double room_temperature = 298.15;  ///< [K]
  double limit_temperature = 373.15; ///< [K]
  double die_to_base = 0.0;          ///< [K/W]
  double spreading = 0.0;            ///< from under the chip to the mean of the base [K/W]
  std::optional<AirProperties> air;  ///< constants, else tables at the film temperature
  double gravity = standard_gravity; ///< [m/s2]
  CalmRoom calm;
  Resolution resolution;
  std::optional<Bench> bench;        ///< the logs that belong to the case
  MakingLimits spacing;              ///< for the search of the best gap
  std::vector<std::string> defaults; ///< "key = value unit (default)" for every key not given
  std::vector<std::string> notes;    ///< what the model says plainly about this case
};

/// From the chip's core to the mean of the base, in series with every section [K/W].
[[nodiscard]] inline double core_to_base(const Case& the_case) {
  return the_case.die_to_base + the_case.spreading;
}

/// A section of a panel state; `name` says which where there are several: "on, upright".
struct NamedSection {
  std::string name;
  const Section* section = nullptr;
};

/// Every different section of a panel state of the case.
[[nodiscard]] std::vector<NamedSection> sections_of(const Case& the_case, const PanelState& panel);

/// Reads and checks a case file. Throws InputError.
[[nodiscard]] Case read_case(const std::string& path);

/// Same from text; `name` stands for the file in messages.
[[nodiscard]] Case parse_case(const std::string& text, const std::string& name);

/// Same from a tree; messages name the lines that its values have.
[[nodiscard]] Case case_from_tree(const TomlValue& root, const std::string& name);

} // namespace tiltfin
