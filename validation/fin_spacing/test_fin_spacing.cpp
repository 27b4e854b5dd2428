#include "cases/choose/spacing.hpp"
#include "tests/cases/case_texts.hpp"
#include "tests/cases/tiny_case.hpp"

#include "validation/reference.hpp"

using namespace tiltfin;
using namespace tiltfin::validation;

namespace {

/// The gap [mm] that the search finds for the case's cooler with fins four times as high, at four
/// times the power, or as they are.
Computed best_gap(const std::string& text) {
  const tests::Scratch scratch("fin-spacing");
  SpacingOptions options;
  options.directory = scratch / "out";
  options.jobs = 1;
  options.skip_stability = true; // published steady flows, whatever their stability
  const std::optional<SpacingReport> report =
      find_spacing(parse_case(text, "fin_spacing"), options, {});
  REQUIRE(report.has_value());
  const SpacingBest& best = report->best.front();
  CHECK(best.edge.empty());
  CHECK_THAT(best.rise_k.value,
             tests::WithinAbs(50.0, 1.0)); // the book's, which its 7.45 mm belongs to
  CHECK_THAT(best.closed_form_mm, tests::WithinRel(7.45, 0.01));
  return best.layout.gap_mm; // whole fins: no error bar
}

} // namespace

TEST_CASE("Fin spacing: the search finds a worked example's best gap", "[validation]") {
  const std::string text = tests::text_of(folder("fin_spacing") + "case.toml");
  const std::string high =
      tests::edited(tests::edited(tests::edited(text, "fin_height_mm = 24", "fin_height_mm = 96"),
                                  "[75]", "[317]"),
                    "width_mm = 30\n", "width_mm = 102\n");
  compare("fin_spacing", [&](const std::string&, const std::string& condition) {
    return best_gap(condition == "fins 24 mm high" ? text : high);
  });
}
