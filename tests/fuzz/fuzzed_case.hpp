#pragma once
// The case whose restart files are fuzzed: as few cells as a box with a block can have.

namespace tiltfin::tests {

inline constexpr const char* fuzzed_case_text = R"(title = "fuzzed"
[conditions]
powers_w = [0.1]
orientations = ["upright"]
[section]
width_mm = 24
height_mm = 24
depth_mm = 100
base = "block"
[sides.west]
kind = "isothermal"
temperature_c = 25
[sides.east]
kind = "isothermal"
temperature_c = 25
finish = "painted"
[sides.south]
kind = "isothermal"
temperature_c = 25
[sides.north]
kind = "insulated"
[[solid]]
name = "block"
x_mm = [10, 14]
y_mm = [8, 12]
conductivity_w_per_mk = 10
heat_share = 1
role = "source"
emissivity = 0.8
[mesh]
cells_per_gap = 2
wall_cell_mm = 6
largest_cell_mm = 6
growth = 2
radiant_zone_mm = 20
)";

} // namespace tiltfin::tests
