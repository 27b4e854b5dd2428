#include "post/reports/report.hpp"
#include "solver/steady.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>

namespace tiltfin {
namespace {

constexpr double nan = std::numeric_limits<double>::quiet_NaN();

/// Statuses from good to bad.
int badness(const std::string& status) {
  constexpr std::array<SolveStatus, 4> order{SolveStatus::converged, SolveStatus::time_average,
                                             SolveStatus::not_converged, SolveStatus::stopped};
  for (std::size_t k = 0; k < order.size(); ++k) {
    if (status == name(order[k])) {
      return static_cast<int>(k);
    }
  }
  return static_cast<int>(order.size());
}

/// Rises of states that were reached; others do not carry a trend.
bool is_solved(const Outcome& outcome) {
  return badness(outcome.status) <= badness(name(SolveStatus::time_average));
}

/// The solved condition nearest in power to the limit tells the relative error of the rise there;
/// the slope of the trend turns it into watts.
double limit_error(const TrendRow& row, std::span<const Outcome* const> group,
                   const ReportContext& context) {
  double relative_error = nan;
  double distance = std::numeric_limits<double>::infinity();
  for (const Outcome* outcome : group) {
    const double away = std::abs(outcome->power_w - row.limit.power_w);
    if (is_solved(*outcome) && outcome->base_rise_mean_k > 0.0 && away < distance) {
      distance = away;
      relative_error = outcome->rise_error_k / outcome->base_rise_mean_k;
    }
  }
  const double power = row.limit.power_w;
  const double limit_rise = context.limit_temperature_c - context.room_temperature_c;
  const double rise = limit_rise - context.die_to_base_k_per_w * power;
  const double slope = row.trend.exponent * rise / power + context.die_to_base_k_per_w;
  return relative_error * rise / slope;
}

TrendRow make_trend(std::span<const Outcome* const> group, const ReportContext& context) {
  TrendRow row;
  row.panel = group.front()->panel;
  row.orientation = group.front()->orientation;
  row.finish = group.front()->finish;
  row.status = name(SolveStatus::converged);
  std::vector<TrendPoint> points;
  for (const Outcome* outcome : group) {
    row.skips_stability = row.skips_stability || outcome->stability == stability_skipped;
    if (badness(outcome->status) > badness(row.status)) {
      row.status = outcome->status;
    }
    if (is_solved(*outcome)) {
      points.push_back({outcome->power_w, outcome->base_rise_mean_k});
    }
  }
  if (points.size() == 1 && group.size() > 1) {
    points.clear(); // what is left of several powers is no trend
  }
  row.trend = fit_power_law(points);
  if (row.trend.n_points == 0) {
    row.trend.factor = row.trend.exponent = nan;
    row.trend.exponent_low = row.trend.exponent_high = row.trend.largest_misfit = nan;
  }
  row.limit =
      power_limit(row.trend, points, context.limit_temperature_c - context.room_temperature_c,
                  context.die_to_base_k_per_w);
  row.power_limit_error_w = limit_error(row, group, context);
  return row;
}

bool is_better(const TrendRow& a, const TrendRow& b) {
  if (std::isnan(a.limit.power_w) || std::isnan(b.limit.power_w)) {
    return !std::isnan(a.limit.power_w) && std::isnan(b.limit.power_w);
  }
  return a.limit.power_w > b.limit.power_w;
}

} // namespace

std::vector<TrendRow> make_trends(std::span<const Outcome> outcomes, const ReportContext& context) {
  std::vector<std::vector<const Outcome*>> groups;
  for (const Outcome& outcome : outcomes) {
    const auto group = std::find_if(groups.begin(), groups.end(), [&](const auto& members) {
      return members.front()->panel == outcome.panel &&
             members.front()->orientation == outcome.orientation;
    });
    if (group == groups.end()) {
      groups.push_back({&outcome});
    } else {
      group->push_back(&outcome);
    }
  }
  std::vector<TrendRow> rows;
  for (const std::vector<const Outcome*>& group : groups) {
    const bool has_base = std::any_of(group.begin(), group.end(), [](const Outcome* outcome) {
      return std::isfinite(outcome->base_rise_mean_k);
    });
    if (has_base) {
      rows.push_back(make_trend(group, context));
    }
  }
  std::stable_sort(rows.begin(), rows.end(), is_better);
  return rows;
}

} // namespace tiltfin
