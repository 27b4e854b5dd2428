#pragma once
// From solved layouts to the best of them.

#include "cases/choose/spacing_layouts.hpp"
#include "cases/choose/spacing_search.hpp"
#include "post/reports/spacing_report.hpp"

#include <optional>
#include <string>
#include <vector>

namespace tiltfin {

struct GapLimits {
  double min_gap = 0.0; ///< [m]
  double max_gap = 0.0; ///< [m]
  std::string text;
};

/// Fins of one thickness and height.
struct FinShape {
  FinArray array;
  CountRange range;
};

/// A panel state and orientation, or all weighted orientations of a panel state together.
struct SpacingGoal {
  std::string panel;
  std::string orientation;      ///< empty: weighted
  std::vector<std::string> ids; ///< conditions that count, and their shares
  std::vector<double> shares;
};

struct SpacingSearch {
  const Case* the_case = nullptr; ///< with the power of the sweep in its list
  double power_w = 0.0;
  std::vector<FinShape> shapes; ///< at least one
  std::vector<SpacingGoal> goals;
  FinArray drawn;
  GapLimits limits;
  Layouts layouts;  ///< ranked by their steady flows, whose stability is not examined
  Layouts examined; ///< the best and the drawn one, stability examined; empty: not wished for
};

/// The value of a goal by number of fins of a shape, as far as all of its conditions are known.
[[nodiscard]] Known known_of(const SpacingSearch& search, const SpacingGoal& goal,
                             const FinShape& shape);

/// The best layout of a goal, without its power limits; none when no layout has a result.
[[nodiscard]] std::optional<SpacingBest> best_of(const SpacingSearch& search,
                                                 const SpacingGoal& goal);

/// Adds the power limits of a best layout from its conditions, all powers of which are solved.
void add_limits(const SpacingSearch& search, SpacingBest& best);

/// The report of a search whose best layouts are known: everything but them.
[[nodiscard]] SpacingReport spacing_report(const SpacingSearch& search);

} // namespace tiltfin
