#pragma once
// Rise against power of one panel state and orientation, as a row of a table, with its power limit.

#include "post/fits/estimate.hpp"
#include "post/fits/limit_bracket.hpp"
#include "post/fits/trend.hpp"
#include "post/numbers/model_range.hpp"
#include "post/text/columns.hpp"
#include "solver/steady.hpp"

#include <cmath>
#include <optional>
#include <string>

namespace tiltfin {

/// A power limit from solved conditions; NaN: none.
struct SolvedLimit {
  Estimate power_w{.value = nan};      ///< error: all parts of `parts`
  bool extrapolated = false;           ///< the limit lies outside the solved powers
  std::optional<SolveStatus> status;   ///< the worst among its listed powers; none: it has none
  bool skips_stability = false;        ///< the stability of a listed steady state was skipped
  BracketedLimit parts{};              ///< what lies on either side of it, parts of its error
  bool is_bound = false;               ///< the model's range ends at `power_w`: the limit is more
  std::string search{};                ///< why added powers do not bracket it; empty: they do, or
                                       ///< none were added
  Standing standing = Standing::sound; ///< the worse of its own and of the rows that it comes from
  std::string doubt{};                 ///< reasons for it, in words

  /// "140 to 160"; "" where it is not between solved powers.
  [[nodiscard]] std::string between() const;

  /// "*" is shown beside it.
  [[nodiscard]] bool is_starred() const {
    return extrapolated && !is_bound && std::isfinite(power_w.value);
  }
};

/// "147.6 ±2.8"; "more than 112" where the model's range ends.
[[nodiscard]] std::string show_limit(const SolvedLimit& limit);

/// "converged"; "converged, outside the model"; "" of a limit without listed powers.
[[nodiscard]] std::string show_status(const SolvedLimit& limit);

/// One row of trend.csv.
struct TrendRow {
  std::string panel;
  std::string orientation;
  std::string finish; ///< of the cooler, where several are compared; the panel's name ends in it
  Trend trend;
  SolvedLimit limit;
  /// Heat capacity of the cooler's metal times its resistance at the largest power solved: how fast
  /// its rise follows a small change, were all of the metal as warm as the base and nothing else
  /// stored heat. NaN where the metal is not known.
  Estimate time_constant_s{.value = nan};
  Estimate settling_time_s{.value = nan}; ///< until 1 % of a change is left
};

/// The columns of a limit; its last two stand apart from the others in most tables. The third is
/// `in_json` in JSON.
template <RowOf<SolvedLimit> Limit, class Visit>
void visit_limit(Limit& limit, const Visit& visit,
                 const char* in_json = "power_limit_extrapolated") {
  visit("power_limit_w", limit.power_w.value);
  visit("power_limit_error_w", limit.power_w.error);
  visit("power_limit_extrapolated", limit.extrapolated, In::csv);
  visit(in_json, limit.extrapolated, In::json);
  visit("power_limit_is", limit.is_bound ? "more than" : name(limit.parts.basis));
  visit("solved_below_w", limit.parts.low_w);
  visit("solved_above_w", limit.parts.high_w);
  visit("power_limit_mesh_error_w", limit.parts.mesh_w);
  visit("power_limit_fit_error_w", limit.parts.fit_w);
  visit("power_limit_flow_error_w", limit.parts.flow_w);
  visit("limit_search", limit.search);
  visit("limit_standing", limit.standing);
  visit("limit_doubt", limit.doubt);
}
template <RowOf<SolvedLimit> Limit, class Visit>
void visit_limit_status(Limit& limit, const Visit& visit) {
  visit("status", limit.status);
  visit("stability_examined", !limit.skips_stability);
}

/// The columns of a fit; `misfit_in`: where the last of them is shown.
template <RowOf<Trend> Row, class Visit>
void visit_trend(Row& trend, const Visit& visit, In misfit_in = In::both) {
  visit("factor_k_per_w_to_exponent", trend.factor);
  visit("exponent", trend.exponent);
  visit("exponent_low", trend.exponent_low);
  visit("exponent_high", trend.exponent_high);
  visit("largest_misfit", trend.largest_misfit, misfit_in);
}

template <RowOf<TrendRow> Row, class Visit>
void visit_members(Row& row, const Visit& visit) {
  visit("panel", row.panel);
  visit("orientation", row.orientation);
  visit("finish", row.finish);
  visit_limit(row.limit, visit);
  visit("n_points", row.trend.n_points);
  visit_trend(row.trend, visit);
  visit("time_constant_s", row.time_constant_s.value);
  visit("time_constant_error_s", row.time_constant_s.error);
  visit("settling_time_s", row.settling_time_s.value);
  visit("settling_time_error_s", row.settling_time_s.error);
  visit_limit_status(row.limit, visit);
}

} // namespace tiltfin
