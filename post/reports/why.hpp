#pragma once
// Why one condition is warmer than another: the difference of their base rises and of their power
// limits, split into parts that add up to it.

#include "post/fits/estimate.hpp"
#include "post/numbers/outcome.hpp"
#include "post/reports/report.hpp"
#include "post/reports/trend_row.hpp"

#include <span>
#include <string>
#include <vector>

namespace tiltfin {

/// One per number of the network (post/numbers/heat_network), in its order, then what only limits
/// know.
enum class Cause {
  feeding_air,  ///< temperature of the air that feeds the fins [°C]
  through_flow, ///< fresh air through the cooler [g/s]
  transfer,     ///< resistance between the surfaces and that air [K/W]
  other_air,    ///< to air that stands, turns or passes by [W/K]
  radiation,    ///< [W/K]
  other_paths,  ///< board, chip, case walls, sides [W/K]
  metal,        ///< conduction from the base to the surfaces [K/W]
  not_closed,   ///< what the heat budget of a mean over time leaves open [%]
  growth,       ///< exponent of the rise over power; of limits alone [-]
  residual      ///< of limits alone: the trends do not pass through the power compared at
};

/// "feeding air", "through-flow", "transfer", "other air", "radiation", "other paths", "metal",
/// "not closed", "growth with power", "residual".
[[nodiscard]] const char* name(Cause cause);

/// What one cause is worth; NaN: it has no such part. Errors: root of the sum of squares of what
/// the part changes by when each number of either condition is off by its own error, one at a time;
/// infinite when the split is lost then.
struct CausePart {
  Cause cause = Cause::residual;
  Estimate rise_k{.value = nan};  ///< positive: it makes warmer
  Estimate limit_w{.value = nan}; ///< positive: it allows more
  double here = nan;              ///< the number that changed, in its unit
  double there = nan;
  bool is_named = false; ///< stands in the sentences
};

/// A condition (here) against another one (there) at the power nearest to the lower limit that both
/// were solved at.
struct Why {
  std::string panel;
  std::string orientation;
  std::string finish;
  std::string than_panel;
  std::string than_orientation;
  double power_w = nan;
  double base_rise_k = nan; ///< here
  double than_base_rise_k = nan;
  double power_limit_w = nan;
  double than_power_limit_w = nan;
  Estimate rise_k{.value = nan};  ///< here less there
  Estimate limit_w{.value = nan}; ///< here less there
  double radiated_share = nan;    ///< by the cooler, of all heat released
  double than_radiated_share = nan;
  double fins_buoyancy_pa = nan; ///< along the fresh air's way through the fins
  double than_fins_buoyancy_pa = nan;
  std::string other_paths;      ///< bodies that matter most there: "board"
  std::vector<CausePart> parts; ///< empty when the difference could not be split
  std::string sentence;         ///< the first, without the others
  std::string paragraph;        ///< all of them
};

/// A cause is named when its part is above this share of the larger of the two rises (growth: of
/// the larger limit), and above its own error. Chosen: the errors
/// of two rises together come to 4.7 % of the larger at most in the demo.
inline constexpr double least_named_share = 0.05;

/// Buoyancy between the fins is told with the through-flow when it changes the same way and by this
/// factor at least [-]. Chosen: flow goes with its root or itself, so that less explains little.
inline constexpr double telling_buoyancy = 1.5;

/// First every panel state against the first one of the same finish, orientation by orientation;
/// then every orientation against that of its panel state that has the highest limit.
[[nodiscard]] std::vector<Why> explain(std::span<const Outcome> outcomes,
                                       std::span<const TrendRow> trends,
                                       const ReportContext& context);

/// Their printed section; "" without any. Of more than `most_paragraphs` only first sentences.
inline constexpr int most_paragraphs = 12;
[[nodiscard]] std::string why_section(std::span<const Why> whys);

/// Fills `sentence` and `paragraph` from the rest.
void add_sentences(Why& why);

/// A row per part and one, "difference", for their sum.
[[nodiscard]] std::string why_csv(std::span<const Why> whys);
[[nodiscard]] std::string why_json(std::span<const Why> whys);
/// Throws std::runtime_error for another text.
[[nodiscard]] std::vector<Why> read_why(const std::string& text);

} // namespace tiltfin
