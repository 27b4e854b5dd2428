#include "post/fits/estimate.hpp"
#include "post/fits/groups.hpp"
#include "post/reports/report.hpp"
#include "post/reports/table_parts.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

namespace tiltfin {
namespace {

// The worst status is the largest: the enum lists them from good to bad.
static_assert(SolveStatus::converged < SolveStatus::time_average &&
              SolveStatus::time_average < SolveStatus::not_converged &&
              SolveStatus::not_converged < SolveStatus::stopped);

using Group = std::vector<const Outcome*>;

/// The solved condition nearest in power to the limit tells the relative error of the rise there;
/// the slope of the trend turns it into watts.
double limit_error(const TrendRow& row, const Group& group, const CoreLimit& core) {
  const double power = row.limit.power_w.value;
  double relative_error = nan;
  double distance = std::numeric_limits<double>::infinity();
  for (const Outcome* outcome : group) {
    const double away = std::abs(outcome->power_w - power);
    const Estimate& there = outcome->base_rise_mean_k;
    if (is_solved(outcome->status) && there.value > 0.0 && away < distance) {
      distance = away;
      relative_error = there.error / there.value;
    }
  }
  const double rise = core.rise_k() - core.core_to_base_k_per_w * power;
  const double slope = row.trend.exponent * rise / power + core.core_to_base_k_per_w;
  return relative_error * rise / slope;
}

/// Times of a body of one temperature that a resistance cools, exp(-t / time constant).
void add_times(const Group& group, double capacity, TrendRow& row) {
  double power = 0.0;
  for (const Outcome* outcome : group) {
    if (is_solved(outcome->status) && outcome->power_w > power) {
      power = outcome->power_w;
      const Estimate& resistance = outcome->resistance_k_per_w;
      row.time_constant_s = {capacity * resistance.value, capacity * resistance.error};
    }
  }
  const double constants = std::log(100.0); // until 1 % is left
  row.settling_time_s = {constants * row.time_constant_s.value,
                         constants * row.time_constant_s.error};
}

TrendRow make_trend(const Group& group, const CoreLimit& core) {
  TrendRow row;
  row.panel = group.front()->panel;
  row.orientation = group.front()->orientation;
  row.finish = group.front()->finish;
  SolveStatus worst = SolveStatus::converged;
  std::vector<TrendPoint> points;
  for (const Outcome* outcome : group) {
    row.limit.skips_stability =
        row.limit.skips_stability || is_passed_over(outcome->stability.state);
    worst = std::max(worst, outcome->status);
    if (is_solved(outcome->status)) {
      points.push_back({outcome->power_w, outcome->base_rise_mean_k.value});
    }
  }
  row.limit.status = worst;
  if (points.size() == 1 && group.size() > 1) {
    points.clear(); // what is left of several powers is no trend
  }
  row.trend = fit_power_law(points);
  if (row.trend.n_points == 0) {
    row.trend.factor = row.trend.exponent = nan;
    row.trend.exponent_low = row.trend.exponent_high = row.trend.largest_misfit = nan;
  }
  const PowerLimit limit = power_limit(row.trend, points, core.rise_k(), core.core_to_base_k_per_w);
  row.limit.extrapolated = limit.extrapolated;
  row.limit.power_w.value = limit.power_w;
  row.limit.power_w.error = limit_error(row, group, core);
  return row;
}

} // namespace

std::vector<TrendRow> make_trends(std::span<const Outcome> outcomes, const ReportContext& context) {
  std::vector<TrendRow> rows;
  for (const Group& group : groups_by_placing(outcomes)) {
    const bool has_base = std::ranges::any_of(group, [](const Outcome* outcome) {
      return std::isfinite(outcome->base_rise_mean_k.value);
    });
    if (has_base) {
      rows.push_back(make_trend(group, context.core));
      add_times(group, context.metal_capacity_j_per_k, rows.back());
    }
  }
  std::ranges::stable_sort(rows, [](const TrendRow& a, const TrendRow& b) {
    return is_better(a.limit.power_w.value, b.limit.power_w.value);
  });
  return rows;
}

} // namespace tiltfin
