#pragma once
// A case file as a struct. Units end here: everything inside is SI, temperatures in K.

#include "cases/bench_case.hpp"
#include "mesh/section.hpp"
#include "mesh/tensor_mesh.hpp"
#include "solver/air.hpp"
#include "solver/condition.hpp"
#include "solver/problem.hpp"

#include <optional>
#include <stdexcept>
#include <string>
#include <vector>

namespace tiltfin {

/// Wrong input: the message names file, line, key, the value found and what is allowed.
struct InputError : std::runtime_error {
  using std::runtime_error::runtime_error;
};

/// One panel state of the case with the section that it leads to.
/// Where several finishes of the cooler are compared, every panel state exists with each of them.
struct PanelState {
  std::string name; ///< ends in "-" and the finish where several are compared
  Section section;
  std::string finish; ///< of the cooler, where several are compared
};

/// What can be made, from [spacing]; not given: the program's defaults.
struct MakingLimits {
  std::optional<double> min_gap_mm;
  std::optional<double> min_thickness_mm;
};

struct Case {
  std::string file; ///< that it was read from, for messages
  std::string text; ///< of that file
  std::string title;
  std::vector<PanelState> panels; ///< at least one
  std::vector<Orientation> orientations;
  std::string orientations_place;    ///< the file's line and key that list them, for messages
  std::vector<double> powers;        ///< ascending [W]
  double room_temperature = 298.15;  ///< [K]
  double limit_temperature = 373.15; ///< [K]
  double die_to_base = 0.0;          ///< [K/W]
  std::optional<AirProperties> air;  ///< constants, else tables at the film temperature
  double gravity = standard_gravity; ///< [m/s2]
  CalmRoom calm;
  Resolution resolution;
  std::optional<Bench> bench;        ///< the logs that belong to the case
  MakingLimits spacing;              ///< for the search of the best gap
  std::vector<std::string> defaults; ///< "key = value unit (default)" for every key not given
  std::vector<std::string> notes;    ///< what the model says plainly about this case
};

struct TomlValue;

/// Reads and checks a case file. Throws InputError.
[[nodiscard]] Case read_case(const std::string& path);

/// Same from text; `name` stands for the file in messages.
[[nodiscard]] Case parse_case(const std::string& text, const std::string& name);

/// Same from a tree; messages name the lines that its values have.
[[nodiscard]] Case case_from_tree(const TomlValue& root, const std::string& name);

} // namespace tiltfin
