#pragma once
// What air through the ends of a bundle would bring to a machine lying flat: between which power
// limits the one with all four edges open lies.

#include "post/fits/estimate.hpp"
#include "post/fits/joint_limit.hpp"
#include "post/reports/report.hpp"

#include <limits>
#include <optional>
#include <string>
#include <vector>

namespace tiltfin {

/// How the air of both planes adds up (JointRule): no more than if either did not know of the
/// other, no less than the larger alone. Between them lie the bodies whose flow is known in all
/// three dimensions (validation/bundle_ends).
inline constexpr JointRule apart_rule{1.0};
inline constexpr JointRule larger_rule{std::numeric_limits<double>::infinity()};
inline constexpr JointRule high_rule{1.3}; ///< of a stack of discs with wide gaps
inline constexpr JointRule low_rule{2.5};  ///< of one thin disc, warm on both faces

/// One panel state and orientation lying flat. NaN where a plane has no limit.
struct EndsRow {
  std::string panel;
  std::string orientation;
  SolvedLimit first;  ///< of the case as it is: edges in its own plane alone
  SolvedLimit second; ///< of the second plane alone
  JointLimit lower;   ///< the larger of the two planes' heats to the air
  JointLimit likely_low;
  JointLimit likely_high;
  JointLimit upper;                    ///< their sum
  std::optional<SolveStatus> status;   ///< the worse of both planes
  Standing standing = Standing::sound; ///< the worse of both planes
};

struct EndsReport {
  ReportContext context;
  std::vector<EndsRow> rows; ///< in the order of the case
  std::vector<std::string> notes;
  std::string warnings; ///< of the conditions, as `warning_list` gives them
};

/// What was solved of a panel state and orientation in one plane.
struct PlaneResults {
  std::vector<Outcome> outcomes;
  TrendRow trend;
};

/// The row of both planes; `has_likely`: bodies like it are known in three dimensions.
[[nodiscard]] EndsRow ends_row(const PlaneResults& first, const PlaneResults& second,
                               const CoreLimit& core, bool has_likely);

[[nodiscard]] std::string ends_table(const EndsReport& report);
[[nodiscard]] std::string ends_csv(const EndsReport& report);
[[nodiscard]] std::string ends_json(const EndsReport& report);

} // namespace tiltfin
