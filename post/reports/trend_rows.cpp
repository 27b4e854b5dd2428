#include "post/fits/estimate.hpp"
#include "post/fits/groups.hpp"
#include "post/fits/limit_bracket.hpp"
#include "post/reports/report.hpp"
#include "post/reports/table_parts.hpp"

#include <fmt/format.h>
#include <fmt/ranges.h>

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

/// By how much examination moved the rise of the listed power nearest to this one [share of it]: a
/// steady flow that was not examined may be off by as much.
double moved_by_examination(const Group& group, double power) {
  double share = 0.0;
  double distance = std::numeric_limits<double>::infinity();
  for (const Outcome* outcome : group) {
    const double away = std::abs(std::log(outcome->power_w / power));
    if (is_listed(*outcome) && is_solved(outcome->status) && away < distance &&
        std::isfinite(outcome->steady_rise_k)) {
      distance = away;
      share = std::abs(outcome->base_rise_mean_k.value / outcome->steady_rise_k - 1.0);
    }
  }
  return share;
}

LimitPoint limit_point(const Outcome& outcome, const Group& group) {
  const bool is_mean = outcome.status == SolveStatus::time_average;
  const bool is_left_open = outcome.stability.state == Stability::unstable;
  const double rise = outcome.base_rise_mean_k.value;
  LimitPoint point{.power_w = outcome.power_w,
                   .rise_k = outcome.base_rise_mean_k,
                   .flow_k = is_mean ? outcome.fluctuation_k : 0.0,
                   .kind = is_mean        ? FlowKind::mean
                           : is_left_open ? FlowKind::left_open
                                          : FlowKind::steady,
                   .is_added = !is_listed(outcome)};
  if (std::isfinite(outcome.second.rise_k)) {
    point.flow_k = std::max(point.flow_k, std::abs(outcome.second.rise_k - rise));
  }
  if (point.is_added && !is_mean) {
    point.flow_k = std::max(point.flow_k, rise * moved_by_examination(group, outcome.power_w));
  }
  return point;
}

/// Powers as the search for a limit sees them.
struct SearchedPowers {
  std::vector<LimitPoint> points;
  std::vector<double> failed;          ///< added, without a result
  const Outcome* stopped_by = nullptr; ///< one of them
};

SearchedPowers searched_powers(const Group& group) {
  SearchedPowers searched;
  for (const Outcome* outcome : group) {
    if (is_solved(outcome->status)) {
      searched.points.push_back(limit_point(*outcome, group));
    } else if (!is_listed(*outcome)) {
      searched.failed.push_back(outcome->power_w);
      searched.stopped_by = outcome;
    }
  }
  return searched;
}

/// The limit with its error bar; where the search for it ended early, why.
void add_limit(const Group& group, const CoreLimit& core, TrendRow& row) {
  const SearchedPowers searched = searched_powers(group);
  SolvedLimit& limit = row.limit;
  limit.parts = bracketed_limit(row.trend, searched.points, core);
  limit.extrapolated = limit.parts.basis == LimitBasis::extrapolated;
  limit.power_w = {limit.parts.power_w, limit.parts.error_w()};
  if (searched.stopped_by == nullptr) {
    const auto n_added = std::ranges::count_if(searched.points, &LimitPoint::is_added);
    if (n_added >= most_added_powers && limit.parts.basis != LimitBasis::bracketed) {
      limit.search = fmt::format("not bracketed by {} added powers", n_added);
    }
    return;
  }
  const Outcome& stop = *searched.stopped_by;
  if (stop.origin != PowerOrigin::beyond_range) {
    limit.search = fmt::format("no convergence at {:g} W", stop.power_w);
    return;
  }
  limit.search = fmt::format("the model's range ends below {:g} W", stop.power_w);
  if (limit.extrapolated && std::isfinite(limit.parts.low_w)) {
    limit.is_bound = true;
    limit.power_w = {limit.parts.low_w, nan};
  }
}

/// The powers that it comes from: those next to it where they bracket it, else all.
bool bears(const SolvedLimit& limit, const Outcome& outcome) {
  return is_solved(outcome.status) &&
         (limit.parts.basis != LimitBasis::bracketed || outcome.power_w == limit.parts.low_w ||
          outcome.power_w == limit.parts.high_w);
}

/// Judges the limit, and takes over what is wrong with the rows that it comes from.
void add_standing(const Group& group, const CoreLimit& core, SolvedLimit& limit) {
  LimitFacts facts{.power_w = limit.power_w.value,
                   .base_c =
                       core.limit_temperature_c - core.core_to_base_k_per_w * limit.power_w.value};
  Standing rows = Standing::sound;
  for (const Outcome* outcome : group) {
    if (bears(limit, *outcome) && outcome->power_w > 0.0) {
      facts.lowest_solved_w = std::fmin(facts.lowest_solved_w, outcome->power_w);
      facts.highest_solved_w = std::fmax(facts.highest_solved_w, outcome->power_w);
      rows = std::max(rows, outcome->standing);
    }
  }
  Judgement judgement = judge_limit(facts);
  if (rows != Standing::sound && std::isfinite(limit.power_w.value)) {
    judgement.add(rows, fmt::format("a limit from {}", rows == Standing::outside
                                                           ? "rows that are none of a machine"
                                                           : "doubtful rows"));
  }
  limit.standing = judgement.standing;
  limit.doubt = fmt::format("{}", fmt::join(judgement.reasons, "; "));
}

/// Times of a body of one temperature that a resistance cools, exp(-t / time constant).
void add_times(const Group& group, double capacity, TrendRow& row) {
  double power = 0.0;
  for (const Outcome* outcome : group) {
    if (is_listed(*outcome) && is_solved(outcome->status) && outcome->power_w > power) {
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
  std::vector<TrendPoint> points; // of the listed powers
  std::size_t n_listed = 0;
  for (const Outcome* outcome : group) {
    if (!is_listed(*outcome)) {
      continue;
    }
    ++n_listed;
    row.limit.skips_stability =
        row.limit.skips_stability || is_passed_over(outcome->stability.state);
    worst = std::max(worst, outcome->status);
    if (is_solved(outcome->status)) {
      points.push_back({outcome->power_w, outcome->base_rise_mean_k.value});
    }
  }
  row.limit.status = worst;
  if (points.size() == 1 && n_listed > 1) {
    points.clear(); // what is left of several powers is no trend
  }
  row.trend = fit_power_law(points);
  if (row.trend.n_points == 0) {
    row.trend.factor = row.trend.exponent = nan;
    row.trend.exponent_low = row.trend.exponent_high = row.trend.largest_misfit = nan;
  }
  add_limit(group, core, row);
  add_standing(group, core, row.limit);
  return row;
}

} // namespace

std::string SolvedLimit::between() const {
  const bool is_between = std::isfinite(parts.low_w) && std::isfinite(parts.high_w);
  return is_between ? fmt::format("{:g} to {:g}", parts.low_w, parts.high_w) : "";
}

std::string show_limit(const SolvedLimit& limit) {
  return limit.is_bound ? fmt::format("more than {:g}", limit.power_w.value)
                        : with_error(limit.power_w);
}

std::string show_status(const SolvedLimit& limit) {
  return with_standing(name_or_nothing(limit.status), limit.standing);
}

std::optional<double> next_power_w(std::span<const Outcome* const> group, const CoreLimit& core) {
  const Group all(group.begin(), group.end());
  if (make_trend(all, core).trend.n_points == 0) {
    return std::nullopt;
  }
  const SearchedPowers searched = searched_powers(all);
  return power_to_add(searched.points, searched.failed, core);
}

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
