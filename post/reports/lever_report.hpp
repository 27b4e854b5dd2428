#pragma once
// What single changes of a case would bring, per panel state and orientation: kelvins of base rise
// at one power and watts of power limit, ranked.

#include "post/fits/estimate.hpp"
#include "post/reports/report.hpp"
#include "post/reports/trend_row.hpp"

#include <cstddef>
#include <optional>
#include <string>
#include <vector>

namespace tiltfin {

enum class LeverKind { panel, finish, walls, gap, size, grille, feet, orientation };

/// "panel", "finish" and so on.
[[nodiscard]] const char* name(LeverKind lever);

enum class LeverVerdict {
  helps,
  undecided, ///< the change is smaller than its error, or that is not known
  hurts,
  no_result, ///< not converged
  not_tried  ///< the case cannot have it
};

/// "helps", "undecided", "hurts", "no result", "not tried".
[[nodiscard]] const char* name(LeverVerdict verdict);

/// A panel state and orientation as the case describes it.
struct LeverPlace {
  std::string panel;
  std::string orientation;
  Estimate rise_k{.value = nan};       ///< of the base at the power, steady where it can be
  std::optional<SolveStatus> status;   ///< of that
  Standing standing = Standing::sound; ///< of that, and of the limit
  Trend trend;                         ///< whose exponent turns kelvins into watts
  SolvedLimit limit;
};

/// What one change comes to there. Gains are positive where the base gets colder and the limit
/// higher; their errors are those of the meshes of both solves, the root of the sum of squares.
struct LeverRow {
  std::string panel;
  std::string orientation;
  LeverKind lever = LeverKind::panel;
  std::string change; ///< in words; of what was not tried, why
  LeverVerdict verdict = LeverVerdict::not_tried;
  std::optional<SolveStatus> status; ///< of the changed case
  Estimate rise_k{.value = nan};
  Estimate gain_k{.value = nan};
  Standing standing = Standing::sound; ///< of the changed case and its limit
  Estimate limit_w{.value = nan};
  Estimate gain_w{.value = nan};
};

struct LeverReport {
  ReportContext context;
  double power_w = 0.0;           ///< at which all is solved
  std::vector<LeverPlace> places; ///< poorest limit first once `rank_levers` has run
  std::vector<LeverRow> rows;     ///< by place, most watts first, what was not tried last
  std::vector<std::string> notes;
  std::string warnings; ///< of the conditions, as `warning_list` gives them
};

/// The row of a change that was solved at the power of `place`: its limit is where the trend of the
/// place, made to pass through the place's limit and then multiplied by the ratio of the rises,
/// meets the limit of the core. `core_to_base_k_per_w` is that of the changed case.
[[nodiscard]] LeverRow solved_lever(const LeverPlace& place, const CoreLimit& core, LeverKind lever,
                                    const std::string& change, const Estimate& rise_k,
                                    SolveStatus status, double core_to_base_k_per_w);

/// The row of a change that is another panel state, finish or orientation of the case: both limits
/// are known.
[[nodiscard]] LeverRow known_lever(const LeverPlace& place, LeverKind lever,
                                   const std::string& change, const LeverPlace& other);

/// Judges the row's limit, solved or known at `power_w`, and takes over what is wrong with `place`
/// and with the changed case (`changed`). Outside the model nothing helps: there is no result.
void judge_lever(const LeverPlace& place, Standing changed, double power_w, LeverRow& row);

void rank_levers(LeverReport& report);

/// What helps most where, and how sure that is.
[[nodiscard]] std::string lever_sentence(const LeverReport& report);

[[nodiscard]] std::string lever_table(const LeverReport& report);
[[nodiscard]] std::string lever_csv(const LeverReport& report);
[[nodiscard]] std::string lever_json(const LeverReport& report);

/// Bars of watts with error bars, a group per panel state and orientation.
[[nodiscard]] std::string lever_chart(const LeverReport& report);

} // namespace tiltfin
