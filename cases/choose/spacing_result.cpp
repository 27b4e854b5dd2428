#include "cases/choose/spacing_result.hpp"

#include "post/fits/estimate.hpp"
#include "post/numbers/best_gap.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <tuple>

namespace tiltfin {
namespace {

const Outcome* outcome_at(const Layouts& layouts, const std::string& layout,
                          const std::string& id) {
  const auto there = layouts.find(layout);
  if (there == layouts.end()) {
    return nullptr;
  }
  const auto found = there->second.outcomes.find(id);
  return found == there->second.outcomes.end() ? nullptr : &found->second;
}

bool is_result(const Outcome& outcome) {
  return outcome.status != SolveStatus::not_converged &&
         std::isfinite(outcome.base_rise_mean_k.value);
}

/// The rise that a condition counts with; NaN when it has no result.
SolvedRise solved_rise(const Outcome& outcome) {
  const Estimate& rise = outcome.base_rise_mean_k;
  return {.rise_k = {is_result(outcome) ? rise.value : nan, rise.error},
          .status = outcome.status,
          .stability = outcome.stability.state,
          .standing = outcome.standing};
}

/// Weighted rise of a goal in a layout; none before all its conditions are known, NaN when one of
/// them has no result.
std::optional<Estimate> rise_of(const Layouts& layouts, const SpacingGoal& goal,
                                const std::string& layout) {
  Estimate rise{0.0, 0.0};
  for (std::size_t k = 0; k < goal.ids.size(); ++k) {
    const Outcome* outcome = outcome_at(layouts, layout, goal.ids[k]);
    if (outcome == nullptr) {
      return std::nullopt;
    }
    const Estimate own = solved_rise(*outcome).rise_k;
    rise.value += goal.shares[k] * own.value;
    rise.error += goal.shares[k] * own.error;
  }
  return rise;
}

FinLayout layout_for_report(const FinArray& array) {
  FinLayout layout{
      layout_name(array), array.count, 1000.0 * array.gap, 1000.0 * array.thickness, {}};
  if (array.kind != FinKind::plates) {
    layout.height_mm = 1000.0 * array.height;
  }
  return layout;
}

/// Why the closed form says nothing here; empty when it does.
std::string no_closed_form(const FinArray& array, const Orientation& orientation,
                           const Case& the_case) {
  if (the_case.gravity == 0.0) {
    return "there is no gravity";
  }
  if (array.kind == FinKind::across) {
    return "gaps that the base closes on one side are no channels, whichever way gravity points";
  }
  const bool is_vertical = std::abs(orientation.down[0]) < 1e-9;
  return is_vertical ? "" : "gravity does not run along the gaps, so they are no vertical channels";
}

void add_closed_form(const SpacingSearch& search, const FinArray& array, SpacingBest& best) {
  const Case& the_case = *search.the_case;
  best.closed_form_mm = nan;
  const auto orientation = std::ranges::find_if(
      the_case.orientations, [&](const Orientation& o) { return o.name == best.orientation; });
  if (orientation == the_case.orientations.end()) {
    return; // weighted
  }
  best.no_closed_form = no_closed_form(array, *orientation, the_case);
  if (best.no_closed_form.empty() && best.rise_k.value > 0.0) {
    const double room = the_case.room_temperature;
    const AirProperties air =
        the_case.air ? *the_case.air : air_at(room + 0.5 * best.rise_k.value, room);
    best.closed_form_mm = 1000.0 * best_gap_of_vertical_plates(array.length, best.rise_k.value, air,
                                                               the_case.gravity);
  }
}

/// Solved gaps of the shape that cannot be told from the best.
void add_range(const SpacingSearch& search, const SpacingGoal& goal, const FinShape& shape,
               SpacingBest& best) {
  best.low_gap_mm = best.high_gap_mm = best.layout.gap_mm;
  for (const auto& [count, value] : known_of(search, goal, shape)) {
    const FinArray array = with_count(shape.array, count);
    const Estimate rise = *rise_of(search.layouts, goal, layout_name(array));
    if (rise.value - rise.bar() <= best.rise_k.value + best.rise_k.bar()) {
      best.low_gap_mm = std::min(best.low_gap_mm, 1000.0 * array.gap);
      best.high_gap_mm = std::max(best.high_gap_mm, 1000.0 * array.gap);
    }
  }
}

std::string edge_of(const SpacingSearch& search, const FinShape& shape, int count) {
  if (count == (shape.array.kind == FinKind::plates ? most_plates : most_fins)) {
    return "ends at the largest number that a case file may have";
  }
  if (count == shape.range.most) {
    return fmt::format("ends at the smallest gap allowed ({:g} mm), with whole numbers only",
                       1000.0 * search.limits.min_gap);
  }
  return count == shape.range.fewest ? "ends at the widest gap searched (--max-gap-mm)" : "";
}

std::string size_text(const FinArray& array) {
  const char* where = array.kind == FinKind::across  ? "along y"
                      : array.kind == FinKind::along ? "out of the plane"
                                                     : "along x, from base to last plate";
  return fmt::format("{:.6g} mm {}", 1000.0 * array.outer, where);
}

std::vector<std::string> notes_of(const SpacingSearch& search,
                                  const std::vector<SpacingPoint>& points) {
  std::vector<std::string> notes;
  if (search.drawn.kind == FinKind::plates) {
    notes.emplace_back("Each plate keeps its conductance to the base (conductance_w_per_k), "
                       "whatever their number and thickness.");
    if (search.drawn.first_gap > 0.0) {
      notes.push_back(fmt::format("The gap between base and first plate stays {:g} mm "
                                  "(first_gap_mm).",
                                  1000.0 * search.drawn.first_gap));
    }
  }
  if (search.drawn.kind == FinKind::across) {
    notes.emplace_back(
        "Fins across the board: the ends of the gaps lie out of the section, so no air "
        "runs along the gaps, and it is that air which makes a best gap. Expect a flat "
        "curve; where the ends are open, cut the block the other way "
        "(block.fins_run = \"along\").");
  }
  const auto n_failed = std::ranges::count_if(
      points, [](const SpacingPoint& point) { return std::isnan(point.ranked.rise_k.value); });
  if (n_failed > 0) {
    notes.push_back(fmt::format("{} condition{} without a result (not converged) passed over.",
                                n_failed, n_failed == 1 ? " was" : "s were"));
  }
  notes.emplace_back(
      "The best gap depends on the power (of vertical channels as rise^(-1/4)): where "
      "the power limit counts, search near it (--power-w).");
  notes.emplace_back("The search finds the lowest valley between the layouts that it starts from; "
                     "error bars are those of the mesh alone.");
  return notes;
}

SpacingPoint point_of(const SpacingSearch& search, const SpacingGoal& goal, const FinArray& array,
                      const Outcome& outcome) {
  SpacingPoint point{.layout = layout_for_report(array),
                     .panel = goal.panel,
                     .orientation = goal.orientation,
                     .ranked = solved_rise(outcome),
                     .examined = {}};
  if (const Outcome* later = outcome_at(search.examined, point.layout.name, goal.ids.front())) {
    point.examined = solved_rise(*later);
  }
  return point;
}

void add_points(const SpacingSearch& search, SpacingReport& report) {
  for (const SpacingGoal& goal : search.goals) {
    if (goal.orientation.empty()) {
      continue;
    }
    std::vector<SpacingPoint> points;
    for (const auto& [name, layout] : search.layouts) {
      if (const Outcome* outcome = outcome_at(search.layouts, name, goal.ids.front())) {
        points.push_back(point_of(search, goal, layout.array, *outcome));
      }
    }
    std::ranges::sort(points, [](const SpacingPoint& a, const SpacingPoint& b) {
      return std::tuple(a.layout.thickness_mm, a.layout.height_mm, a.layout.gap_mm) <
             std::tuple(b.layout.thickness_mm, b.layout.height_mm, b.layout.gap_mm);
    });
    report.points.insert(report.points.end(), points.begin(), points.end());
  }
}

} // namespace

Known known_of(const SpacingSearch& search, const SpacingGoal& goal, const FinShape& shape) {
  Known known;
  for (int count = shape.range.fewest; count <= shape.range.most; ++count) {
    const std::optional<Estimate> rise =
        rise_of(search.layouts, goal, layout_name(with_count(shape.array, count)));
    if (rise) {
      known[count] = rise->value;
    }
  }
  return known;
}

std::optional<SpacingBest> best_of(const SpacingSearch& search, const SpacingGoal& goal) {
  std::optional<SpacingBest> best;
  const FinShape* found = nullptr;
  for (const FinShape& shape : search.shapes) {
    const std::optional<int> count = lowest(known_of(search, goal, shape));
    if (!count) {
      continue;
    }
    const FinArray array = with_count(shape.array, *count);
    const Estimate rise = *rise_of(search.layouts, goal, layout_name(array));
    if (!best || rise.value < best->rise_k.value) {
      best.emplace();
      best->layout = layout_for_report(array);
      best->rise_k = rise;
      best->edge = edge_of(search, shape, *count);
      found = &shape;
    }
  }
  if (!best) {
    return best;
  }
  best->panel = goal.panel;
  best->orientation = goal.orientation;
  best->drawn_rise_k =
      rise_of(search.layouts, goal, layout_name(search.drawn)).value_or(Estimate{.value = nan});
  add_range(search, goal, *found, *best);
  add_closed_form(search, found->array, *best);
  return best;
}

void add_limits(const SpacingSearch& search, SpacingBest& best) {
  std::vector<Outcome> outcomes;
  for (const auto& [id, outcome] : search.layouts.at(best.layout.name).outcomes) {
    const bool counts = best.orientation.empty() || outcome.orientation == best.orientation;
    if (outcome.panel == best.panel && counts) {
      outcomes.push_back(outcome);
    }
  }
  std::ranges::stable_sort(outcomes, {}, &Outcome::power_w);
  best.limits = make_trends(outcomes, report_context(*search.the_case));
}

SpacingReport spacing_report(const SpacingSearch& search) {
  SpacingReport report;
  report.context = report_context(*search.the_case);
  report.power_w = search.power_w;
  report.is_plates = search.drawn.kind == FinKind::plates;
  report.size_text = size_text(search.drawn);
  report.limits_text = search.limits.text;
  report.drawn = layout_for_report(search.drawn);
  report.skips_stability = search.examined.empty();
  add_points(search, report);
  report.notes = notes_of(search, report.points);
  return report;
}

} // namespace tiltfin
