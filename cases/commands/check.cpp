// tiltfin check: says what a case comes to and draws its sections.
#include "cases/check/check.hpp"

#include "cases/commands/command.hpp"
#include "cases/commands/common_options.hpp"
#include "mesh/tensor_mesh.hpp"
#include "post/text/text_file.hpp"
#include "post/views/section_drawing.hpp"

#include <fmt/format.h>

#include <filesystem>
#include <memory>

namespace tiltfin {
namespace {

namespace fs = std::filesystem;

struct CheckArguments {
  std::string case_file;
  std::string drawing; ///< empty: named after the case, here
  bool no_drawing = false;
};

/// Where the drawing of a section goes: its name enters when there are several.
fs::path drawing_path(const CheckArguments& arguments, bool is_only, std::string name) {
  fs::path path = arguments.drawing;
  if (path.empty()) {
    path = fmt::format("{}-section.svg", fs::path(arguments.case_file).stem().string());
  }
  if (!is_only) {
    if (const std::size_t comma = name.find(", "); comma != std::string::npos) {
      name = fmt::format("{}-{}", name.substr(0, comma), name.substr(comma + 2));
    }
    path.replace_filename(
        fmt::format("{}-{}{}", path.stem().string(), name, path.extension().string()));
  }
  return path;
}

int run_check(const CheckArguments& arguments) {
  const Case the_case = read_case(arguments.case_file);
  print_text(check_report(the_case, arguments.case_file));
  if (arguments.no_drawing) {
    return fine;
  }
  for (const PanelState& panel : the_case.panels) {
    const std::vector<NamedSection> sections = sections_of(the_case, panel);
    const bool is_only = the_case.panels.size() == 1 && sections.size() == 1;
    for (const NamedSection& named : sections) {
      const fs::path path = drawing_path(arguments, is_only, named.name);
      const TensorMesh mesh = make_mesh(*named.section, the_case.resolution);
      write_text(path, section_svg(*named.section, &mesh, the_case.title + ": " + named.name));
      print_text(fmt::format("drawn: {}\n", path.string()));
    }
  }
  return fine;
}

} // namespace

CommandLine declare_check() {
  const auto check = std::make_shared<CheckArguments>();
  return {
      {{"case", &check->case_file, "Case file (TOML)", {.is_needed = true}},
       {"--svg", &check->drawing, "Where to draw the section (default: <case>-section.svg here)"},
       {"--no-svg", &check->no_drawing, "Draw nothing"}},
      [check] { return run_check(*check); }};
}

} // namespace tiltfin
