#pragma once
// Case texts that the tests of reading and of refusing share.

#include "cases/file/case.hpp"

#include <stdexcept>
#include <string>

namespace tiltfin::tests {

inline const std::string stack_text = R"(title = "test stack"
[room]
temperature_c = 20
margin_mm = 50
[conditions]
powers_w = [30, 10]
orientations = ["upright", 30]
[case]
width_mm = 60
height_mm = 120
[[case.panel]]
name = "on"
open = []
[[case.panel]]
name = "off"
open = ["east"]
[board]
thickness_mm = 2
height_mm = 100
behind_mm = 5
[stack]
chip_thickness_mm = 3
chip_length_mm = 20
base_thickness_mm = 4
base_length_mm = 30
plates = 3
plate_thickness_mm = 1
plate_gap_mm = 5
plate_length_mm = 60
depth_mm = 80
conductance_w_per_k = 4
column_positions_mm = [20, 40]
column_width_mm = 6
)";

inline const std::string block_text = R"([conditions]
powers_w = [5]
[case]
width_mm = 60
height_mm = 120
[board]
thickness_mm = 2
height_mm = 100
[block]
chip_thickness_mm = 3
chip_length_mm = 20
base_thickness_mm = 4
base_length_mm = 30
fins = 4
fin_thickness_mm = 3
fin_height_mm = 25
depth_mm = 80
)";

/// A block that is its own mirror image across the height of its case, meshed coarsely.
inline const std::string mirror_text = R"([room]
temperature_c = 20
margin_mm = 40
[[room.surface]]
at = "below"
distance_mm = 6
finish = "painted"
[conditions]
powers_w = [1]
orientations = ["upright", "upside-down"]
[case]
width_mm = 40
height_mm = 60
[[case.panel]]
name = "open"
open = ["east", "south", "north"]
[board]
thickness_mm = 2
height_mm = 50
[block]
chip_thickness_mm = 3
chip_length_mm = 12
base_thickness_mm = 4
base_length_mm = 24
fins = 3
fin_thickness_mm = 3
fin_height_mm = 15
depth_mm = 80
finish = "painted"
[mesh]
cells_per_gap = 4
)";

inline const std::string drawn_text = R"([conditions]
powers_w = [20]
[section]
width_mm = 100
height_mm = 80
depth_mm = 500
[sides.west]
kind = "isothermal"
temperature_c = 30
[sides.east]
kind = "film"
film_w_per_m2k = 12
outside_c = 15
[sides.north]
kind = "open"
outside_c = 10
[sides.south]
kind = "symmetry"
[[solid]]
name = "heater"
x_mm = [20, 24]
y_mm = [30, 50]
conductivity_w_per_mk = [5, 50]
heat_share = 1
role = "source"
[[solid]]
name = "spreader"
x_mm = [24, 30]
y_mm = [20, 60]
conductivity_w_per_mk = 200
[[solid]]
name = "far"
x_mm = [60, 70]
y_mm = [20, 60]
conductivity_w_per_mk = 200
[[contact]]
between = ["heater", "spreader"]
resistance_m2k_per_w = 1e-4
[[link]]
name = "pipe"
between = ["spreader", "far"]
conductance_w_per_k = 3
patch_a_y_mm = [30, 40]
)";

/// `text` with the first `from` replaced.
inline std::string edited(std::string text, const std::string& from, const std::string& to) {
  const std::size_t place = text.find(from);
  if (place == std::string::npos) {
    throw std::runtime_error("the test's text does not hold '" + from + "'");
  }
  return text.replace(place, from.size(), to);
}

/// The message with which `text` is refused; empty when it is not.
inline std::string refusal(const std::string& text) {
  try {
    const Case unused = parse_case(text, "t.toml");
    return "";
  } catch (const InputError& error) {
    return error.what();
  }
}

inline Case case_of(const std::string& text) {
  return parse_case(text, "t.toml");
}

/// A box of a few centimetres, a board and room for a cooler on it, solved in well under a second.
inline const std::string small_box = R"(title = "small box"
[conditions]
powers_w = [0.2, 0.4]
orientations = ["upright", "flat-up"]
[case]
width_mm = 24
height_mm = 30
[board]
thickness_mm = 2
height_mm = 26
behind_mm = 3
[mesh]
cells_per_gap = 2
cells_per_sheet = 1
growth = 2
wall_cell_mm = 1
)";

/// Three plates of 1 mm with gaps of 2 mm: 9 mm in all.
inline const std::string small_stack = small_box + R"([stack]
chip_thickness_mm = 2
chip_length_mm = 8
base_thickness_mm = 2
base_length_mm = 12
plates = 3
plate_thickness_mm = 1
plate_gap_mm = 2
plate_length_mm = 20
depth_mm = 20
conductance_w_per_k = 1
column_positions_mm = [10]
column_width_mm = 4
)";

} // namespace tiltfin::tests
