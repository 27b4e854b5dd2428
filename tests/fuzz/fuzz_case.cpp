// A case file: text to what `tiltfin check` says of it. A refusal (InputError) is fine, as is air
// beyond its tables; anything else that is thrown is a defect.
#include "cases/check/check.hpp"
#include "cases/file/solved_text.hpp"
#include "cases/input/toml_text.hpp"
#include "tests/fuzz/fuzzed_file.hpp"

#include <cstdint>
#include <string>

namespace tiltfin::tests {
namespace {

/// Check looks at coarse meshes, where a case of many sections takes a tenth of a second under
/// sanitizers; reading has made the meshes that were asked for. View factors grow with the square
/// of the surfaces: what is larger all the same is read only.
constexpr int most_cells = 8'000;

bool is_small(const Case& the_case) {
  int n_cells = 0;
  for (const PanelState& panel : the_case.panels) {
    for (const NamedSection& named : sections_of(the_case, panel)) {
      n_cells += make_mesh(*named.section, the_case.resolution).n_cells();
    }
  }
  return n_cells <= most_cells;
}

void read(const std::string& text) {
  Case the_case = parse_case(text, "fuzzed.toml");
  const std::string again = toml_text(the_case.tree);
  must(toml_text(parse_toml(again, "again.toml")) == again);
  must(text_that_is_solved(case_from_tree(parse_toml(again, "again.toml"), "again.toml").tree,
                           true) == text_that_is_solved(the_case.tree, true));
  the_case.resolution = {
      .cells_per_gap = 1, .cells_per_sheet = 1, .cells_per_medium = 2, .growth = 2.0};
  if (is_small(the_case)) {
    must(!check_report(the_case, "fuzzed.toml").empty());
  }
}

} // namespace
} // namespace tiltfin::tests

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  try {
    tiltfin::tests::read({data, data + size});
  } catch (const tiltfin::InputError&) {
  } catch (const tiltfin::AirRangeError&) {
  }
  return 0;
}
