#include "cases/run/pictures.hpp"
#include "cases/run/redraw.hpp"
#include "cases/run/run.hpp"
#include "tests/cases/tiny_case.hpp"
#include "tests/catch.hpp"

#include <regex>

namespace tiltfin::tests {
namespace {

/// Every tick of the colour bar and the line spacing, as they stand in a drawing.
std::string scale_in(const std::string& svg) {
  const std::regex what(R"(>([0-9.]+)</text>|>([0-9.e-]+ g/s of air between neighbouring lines)<)");
  std::string scale;
  for (std::sregex_iterator k(svg.begin(), svg.end(), what), end; k != end; ++k) {
    scale += k->str();
  }
  return scale;
}

} // namespace

TEST_CASE("Pictures: all of one power have one scale, and are drawn again from the disk alone",
          "[pictures]") {
  const Scratch scratch("pictures");
  const std::filesystem::path out = scratch / "out";
  const Case the_case =
      parse_case(tiny_case_text("[0.2, 0.4]", R"(["upright", "flat-up"])"), "tiny.toml");
  RunOptions options;
  options.directory = out;
  options.jobs = 1;
  options.examine_stability = false;
  const CaseResults results = run_case(the_case, options, {});
  REQUIRE(results.outcomes.size() == 4);
  CHECK(results.undrawn.empty());

  const std::string upright = text_of(out / "pictures/as-drawn_upright_0.4w.svg");
  const std::string flat = text_of(out / "pictures/as-drawn_flat-up_0.4w.svg");
  const std::string cooler = text_of(out / "pictures/as-drawn_upright_0.2w.svg");
  CHECK_THAT(upright, ContainsSubstring("one scale for all pictures at 0.4 W"));
  CHECK(scale_in(upright) == scale_in(flat));
  CHECK(scale_in(upright) != scale_in(cooler));
  const std::string sheet = text_of(out / "sheets/0.4w.svg");
  CHECK_THAT(sheet, ContainsSubstring("block in a box at 0.4 W"));
  CHECK_THAT(sheet, ContainsSubstring("as-drawn · flat-up"));

  std::filesystem::remove_all(out / "sheets");
  put(out / "pictures/as-drawn_upright_0.4w.svg", "old");
  CHECK(redraw_pictures(out, the_case).empty());
  CHECK(text_of(out / "sheets/0.4w.svg") == sheet);
  CHECK(text_of(out / "pictures/as-drawn_upright_0.4w.svg") == upright);

  // One damaged, one gone: they keep their pictures, the others are drawn.
  const std::string fields = text_of(out / "fields/as-drawn_upright_0.4w.vtr");
  put(out / "fields/as-drawn_upright_0.4w.vtr", fields.substr(0, fields.size() / 2));
  std::filesystem::remove(out / "fields/as-drawn_flat-up_0.2w.vtr");
  put(out / "pictures/as-drawn_upright_0.4w.svg", "old");
  const std::vector<std::string> problems = redraw_pictures(out, the_case);
  REQUIRE(problems.size() == 2);
  CHECK_THAT(problems[0], ContainsSubstring("as-drawn_flat-up_0.2w: not drawn") &&
                              ContainsSubstring("found no file"));
  CHECK_THAT(problems[1], ContainsSubstring("as-drawn_upright_0.4w") &&
                              ContainsSubstring("found no checksum (written by an older version, "
                                                "or cut short)"));
  CHECK(text_of(out / "pictures/as-drawn_upright_0.4w.svg") == "old");
  CHECK_THAT(text_of(out / "sheets/0.4w.svg"), !ContainsSubstring("as-drawn · upright"));
}

TEST_CASE("Redraw: what is on disk comes in the order of the results, what is damaged does not",
          "[pictures]") {
  const Scratch scratch("redraw");
  const std::filesystem::path out = scratch / "out";
  CHECK(outcomes_on_disk(out, parse_case(tiny_case_text("[0.2]", R"(["upright"])"), "t"))
            .outcomes.empty());
  const Case the_case =
      parse_case(tiny_case_text("[0.2, 0.4]", R"(["upright", "flat-up"])"), "tiny.toml");
  RunOptions options;
  options.directory = out;
  options.jobs = 1;
  options.examine_stability = false;
  (void)run_case(the_case, options, {});
  put(out / "conditions/as-drawn_upright_0.2w.json", "{");
  const auto [outcomes, refused] = outcomes_on_disk(out, the_case);
  REQUIRE(refused.size() == 1);
  CHECK_THAT(refused[0], ContainsSubstring("as-drawn_upright_0.2w.json: found a damaged file"));
  REQUIRE(outcomes.size() == 3);
  CHECK(outcomes[0].orientation == "upright");
  CHECK(outcomes[0].power_w == 0.4);
  CHECK(outcomes[1].orientation == "flat-up");
  CHECK(outcomes[1].power_w == 0.2);
  CHECK(outcomes[2].power_w == 0.4);
  const Case other = parse_case(tiny_case_text("[0.2]", R"(["upright"])"), "tiny.toml");
  CHECK(outcomes_on_disk(out, other).outcomes.size() == 1); // no flat-up in it
}

} // namespace tiltfin::tests
