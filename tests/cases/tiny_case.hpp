#pragma once
// A heated block that radiates in a small box, solved in well under a second.

#include "cases/file/case.hpp"
#include "tests/scratch.hpp"

#include <filesystem>
#include <fstream>
#include <iterator>
#include <string>

namespace tiltfin::tests {

/// `powers` and `orientations` as TOML lists.
inline std::string tiny_case_text(const std::string& powers, const std::string& orientations) {
  return "title = \"block in a box\"\n"
         "[conditions]\npowers_w = " +
         powers + "\norientations = " + orientations +
         R"(
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
[sides.south]
kind = "isothermal"
temperature_c = 25
finish = "painted"
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
cells_per_gap = 6
)";
}

inline void put(const std::filesystem::path& path, const std::string& text) {
  std::ofstream(path, std::ios::binary) << text;
}

/// The whole file; empty when it is not there.
inline std::string text_of(const std::filesystem::path& path) {
  std::ifstream file(path, std::ios::binary);
  return {std::istreambuf_iterator<char>(file), {}};
}

} // namespace tiltfin::tests
