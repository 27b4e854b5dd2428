#include "post/fits/comparison.hpp"

#include "post/fits/least_squares.hpp"
#include "post/fits/student.hpp"
#include "post/fits/trend.hpp"
#include "solver/steady.hpp"

#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include <algorithm>
#include <cmath>
#include <stdexcept>

namespace tiltfin {
namespace {

constexpr double nan = std::numeric_limits<double>::quiet_NaN();

double number_in(const nlohmann::json& object, const char* key) {
  const nlohmann::json& value = object.at(key);
  return value.is_null() ? nan : value.get<double>();
}

double& value_of(Physical& physical, Unknown unknown) {
  switch (unknown) {
  case Unknown::die_to_base:
    return physical.die_to_base_k_per_w;
  case Unknown::heat_share:
    return physical.heat_share;
  case Unknown::depth:
    break;
  }
  return physical.depth_ratio;
}

Physical with_values(Physical physical, std::span<const Unknown> unknowns,
                     std::span<const double> values) {
  for (std::size_t k = 0; k < unknowns.size(); ++k) {
    value_of(physical, unknowns[k]) = values[k];
  }
  return physical;
}

/// ln(predicted / measured); large, but finite, where the values make no sense.
double misfit(const Computed& computed, const MeasuredPoint& point, const Physical& physical,
              bool is_at_base) {
  const double rise = predict(computed, point, physical, is_at_base).rise_k;
  return rise > 0.0 ? std::log(rise / point.rise_k) : 10.0;
}

bool is_computed(const Computed& computed, const MeasuredPoint& point) {
  const double rise = base_rise_at(computed, point.panel, point.orientation, point.power_w).rise_k;
  return std::isfinite(rise) && rise > 0.0 && point.rise_k > 0.0;
}

std::vector<MeasuredPoint> of_group(std::span<const MeasuredPoint> measured,
                                    const std::string& panel, const std::string& orientation) {
  std::vector<MeasuredPoint> points;
  std::ranges::copy_if(measured, std::back_inserter(points), [&](const MeasuredPoint& point) {
    return point.panel == panel && point.orientation == orientation;
  });
  return points;
}

struct Group {
  std::string panel;
  std::string orientation;
};

std::vector<Group> groups_of(std::span<const MeasuredPoint> measured) {
  std::vector<Group> groups;
  for (const MeasuredPoint& point : measured) {
    const bool is_known = std::ranges::any_of(groups, [&](const Group& group) {
      return group.panel == point.panel && group.orientation == point.orientation;
    });
    if (!is_known) {
      groups.push_back({point.panel, point.orientation});
    }
  }
  return groups;
}

Trend trend_of(std::span<const MeasuredPoint> points) {
  std::vector<TrendPoint> list;
  for (const MeasuredPoint& point : points) {
    list.push_back({point.power_w, point.rise_k});
  }
  return fit_power_law(list);
}

double largest_relative_error(std::span<const MeasuredPoint> points) {
  double largest = 0.0;
  for (const MeasuredPoint& point : points) {
    largest = std::max(largest, point.error_k / point.rise_k);
  }
  return largest;
}

/// False when the two cannot be compared.
bool check_order(const Computed& computed, std::span<const MeasuredPoint> a,
                 std::span<const MeasuredPoint> b, const Physical& physical, bool is_at_base,
                 OrderCheck& check) {
  if (a.size() < 2 || b.size() < 2) {
    return false;
  }
  double logarithms = 0.0;
  for (const auto& list : {a, b}) {
    for (const MeasuredPoint& point : list) {
      logarithms += std::log(point.power_w) / static_cast<double>(a.size() + b.size());
    }
  }
  check.power_w = std::exp(logarithms);
  check.panel = a.front().panel;
  MeasuredPoint at_a = a.front();
  MeasuredPoint at_b = b.front();
  at_a.power_w = at_b.power_w = check.power_w;
  at_a.rise_k = fitted_rise(trend_of(a), check.power_w);
  at_b.rise_k = fitted_rise(trend_of(b), check.power_w);
  if (at_a.rise_k > at_b.rise_k) {
    std::swap(at_a, at_b);
  }
  check.cooler = at_a.orientation;
  check.hotter = at_b.orientation;
  check.measured_ratio = at_b.rise_k / at_a.rise_k;
  check.computed_ratio = predict(computed, at_b, physical, is_at_base).rise_k /
                         predict(computed, at_a, physical, is_at_base).rise_k;
  check.is_clear =
      std::log(check.measured_ratio) > largest_relative_error(a) + largest_relative_error(b);
  return true;
}

int different_powers(std::span<const MeasuredPoint> points) {
  std::vector<double> powers;
  for (const MeasuredPoint& point : points) {
    const bool is_known = std::ranges::any_of(powers, [&](double power) {
      return std::abs(power - point.power_w) < 0.05 * power; // meters scatter by less
    });
    if (!is_known) {
      powers.push_back(point.power_w);
    }
  }
  return static_cast<int>(powers.size());
}

std::string why_not(std::span<const MeasuredPoint> points, std::span<const Unknown> unknowns,
                    bool is_at_base) {
  const std::size_t n = unknowns.size();
  if (n == 0 || n > 2) {
    return fmt::format("{} unknowns asked for, one or two can be estimated", n);
  }
  if (n == 2 && unknowns[0] == unknowns[1]) {
    return fmt::format("{} asked for twice", name(unknowns[0]));
  }
  if (is_at_base && std::ranges::find(unknowns, Unknown::die_to_base) != unknowns.end()) {
    return "the base was measured, which tells nothing of the resistance from die to base";
  }
  if (points.size() < n + 1) {
    return fmt::format("{} points carry no {} unknown{} with an interval, at least {} are needed",
                       points.size(), n, n == 1 ? "" : "s", n + 1);
  }
  if (n == 2 && different_powers(points) < 2) {
    return "two unknowns need at least two different powers";
  }
  return "";
}

/// Fills the estimates; leaves a refusal where they make no sense.
void describe(const LeastSquares& fit, std::span<const Unknown> unknowns, Calibration& result) {
  const std::size_t n = unknowns.size();
  const auto freedom = static_cast<double>(result.n_used) - static_cast<double>(n);
  result.scatter = std::sqrt(fit.sum_of_squares / freedom);
  result.independence = fit.independence;
  if (n == 2 && fit.independence < 0.05) {
    result.refusal = fmt::format("{} and {} act alike on these points (independence {:.3f}), one "
                                 "of them can be estimated",
                                 name(unknowns[0]), name(unknowns[1]), fit.independence);
    return;
  }
  for (std::size_t k = 0; k < n; ++k) {
    const double half =
        student_quantile(freedom) * result.scatter * std::sqrt(fit.inverse_normal[k * n + k]);
    const double value = fit.parameters[k];
    result.estimates.push_back({unknowns[k], value, value - half, value + half});
    const bool is_sound = value > 0.0 && (unknowns[k] != Unknown::heat_share || value <= 1.2);
    if (!fit.is_converged || !is_sound || !std::isfinite(half)) {
      result.refusal = fmt::format("{} would be {:.4g}, which makes no sense; the computation and "
                                   "the bench differ by something else",
                                   name(unknowns[k]), value);
    } else if (half > value) {
      result.refusal = fmt::format("{} would be {:.4g} ±{:.2g}: the data do not carry it",
                                   name(unknowns[k]), value, half);
    }
  }
}

/// The fit itself, without leaving anything out.
Calibration fit_unknowns(const Computed& computed, const std::vector<MeasuredPoint>& points,
                         std::span<const Unknown> unknowns, bool is_at_base) {
  Calibration result;
  result.physical.die_to_base_k_per_w = computed.die_to_base_k_per_w;
  result.n_used = static_cast<int>(points.size());
  result.refusal = why_not(points, unknowns, is_at_base);
  if (!result.refusal.empty()) {
    return result;
  }
  std::vector<double> start;
  for (const Unknown unknown : unknowns) {
    start.push_back(std::max(value_of(result.physical, unknown), 0.05));
  }
  const Physical fixed = result.physical;
  const Residuals residuals = [&](std::span<const double> values, std::span<double> misfits) {
    const Physical physical = with_values(fixed, unknowns, values);
    for (std::size_t k = 0; k < points.size(); ++k) {
      misfits[k] = misfit(computed, points[k], physical, is_at_base);
    }
  };
  const LeastSquares fit = minimise_squares(residuals, start, result.n_used);
  describe(fit, unknowns, result);
  if (result.refusal.empty()) {
    result.physical = with_values(fixed, unknowns, fit.parameters);
  }
  return result;
}

double root_mean_square(const Computed& computed, std::span<const MeasuredPoint> points,
                        const Physical& physical, bool is_at_base) {
  double squares = 0.0;
  for (const MeasuredPoint& point : points) {
    const double value = misfit(computed, point, physical, is_at_base);
    squares += value * value;
  }
  return std::sqrt(squares / static_cast<double>(points.size()));
}

} // namespace

const char* name(Unknown unknown) {
  switch (unknown) {
  case Unknown::die_to_base:
    return "die-to-base";
  case Unknown::heat_share:
    return "heat-share";
  case Unknown::depth:
    break;
  }
  return "depth";
}

Computed read_summary(const std::string& text) {
  try {
    const nlohmann::json object = nlohmann::json::parse(text);
    Computed computed;
    object.at("title").get_to(computed.title);
    computed.room_temperature_c = number_in(object, "room_temperature_c");
    computed.limit_temperature_c = number_in(object, "limit_temperature_c");
    computed.die_to_base_k_per_w = number_in(object, "die_to_base_k_per_w");
    for (const nlohmann::json& row : object.at("conditions")) {
      ComputedPoint point;
      row.at("panel").get_to(point.panel);
      row.at("orientation").get_to(point.orientation);
      row.at("status").get_to(point.status);
      point.power_w = number_in(row, "power_w");
      point.base_rise_k = number_in(row, "base_rise_mean_k");
      point.error_k = number_in(row, "rise_error_k");
      const bool is_solved = point.status == name(SolveStatus::converged) ||
                             point.status == name(SolveStatus::time_average);
      if (is_solved && point.base_rise_k > 0.0 && point.power_w > 0.0) {
        computed.points.push_back(point);
      }
    }
    return computed;
  } catch (const nlohmann::json::exception& error) {
    throw std::runtime_error(std::string("not a summary of solved conditions: ") + error.what());
  }
}

BaseRise base_rise_at(const Computed& computed, const std::string& panel,
                      const std::string& orientation, double power_w) {
  std::vector<ComputedPoint> points;
  std::ranges::copy_if(computed.points, std::back_inserter(points),
                       [&](const ComputedPoint& point) {
                         return point.panel == panel && point.orientation == orientation;
                       });
  if (points.empty() || !(power_w > 0.0)) {
    return {};
  }
  std::ranges::sort(points, {}, &ComputedPoint::power_w);
  const auto above = std::ranges::find_if(
      points, [&](const ComputedPoint& point) { return point.power_w >= power_w; });
  BaseRise result;
  constexpr double near = 0.02; // a meter's reading of the same power
  result.is_outside = power_w < points.front().power_w * (1.0 - near) ||
                      power_w > points.back().power_w * (1.0 + near);
  if (points.size() == 1) {
    const double ratio = power_w / points.front().power_w;
    return {ratio * points.front().base_rise_k, ratio * points.front().error_k,
            std::abs(ratio - 1.0) > near};
  }
  const auto upper = std::clamp<std::ptrdiff_t>(above - points.begin(), 1,
                                                static_cast<std::ptrdiff_t>(points.size()) - 1);
  const ComputedPoint& a = points[static_cast<std::size_t>(upper - 1)];
  const ComputedPoint& b = points[static_cast<std::size_t>(upper)];
  const double part = std::log(power_w / a.power_w) / std::log(b.power_w / a.power_w);
  result.rise_k = a.base_rise_k * std::pow(b.base_rise_k / a.base_rise_k, part);
  const double error_a = a.error_k / a.base_rise_k;
  const double error_b = b.error_k / b.base_rise_k;
  result.error_k = result.rise_k * (error_a + std::clamp(part, 0.0, 1.0) * (error_b - error_a));
  return result;
}

BaseRise predict(const Computed& computed, const MeasuredPoint& point, const Physical& physical,
                 bool is_at_base) {
  const double heat = physical.heat_share * point.power_w;
  BaseRise result =
      base_rise_at(computed, point.panel, point.orientation, heat / physical.depth_ratio);
  if (!is_at_base) {
    result.rise_k += physical.die_to_base_k_per_w * heat;
  }
  return result;
}

Comparison compare(const Computed& computed, std::span<const MeasuredPoint> measured,
                   const Physical& physical, bool is_at_base) {
  Comparison result;
  std::vector<MeasuredPoint> usable;
  for (const MeasuredPoint& point : measured) {
    if (!is_computed(computed, point)) {
      result.unsolved.push_back(point);
      continue;
    }
    usable.push_back(point);
    const BaseRise rise = predict(computed, point, physical, is_at_base);
    result.points.push_back({point, rise, rise.rise_k / point.rise_k - 1.0});
  }
  const auto n = static_cast<double>(usable.size());
  for (const ComparedPoint& point : result.points) {
    result.bias += std::log1p(point.deviation) / n;
  }
  double squares = 0.0;
  for (const ComparedPoint& point : result.points) {
    const double away = std::log1p(point.deviation) - result.bias;
    squares += away * away;
  }
  result.spread = usable.size() > 1 ? std::sqrt(squares / (n - 1.0)) : nan;
  const std::vector<Group> groups = groups_of(usable);
  for (std::size_t i = 0; i < groups.size(); ++i) {
    for (std::size_t j = i + 1; j < groups.size(); ++j) {
      OrderCheck check;
      if (groups[i].panel == groups[j].panel &&
          check_order(computed, of_group(usable, groups[i].panel, groups[i].orientation),
                      of_group(usable, groups[j].panel, groups[j].orientation), physical,
                      is_at_base, check)) {
        result.orders.push_back(check);
      }
    }
  }
  return result;
}

Calibration calibrate(const Computed& computed, std::span<const MeasuredPoint> measured,
                      std::span<const Unknown> unknowns, std::span<const std::string> use,
                      bool is_at_base) {
  std::vector<MeasuredPoint> usable;
  std::vector<MeasuredPoint> used;
  for (const MeasuredPoint& point : measured) {
    if (is_computed(computed, point)) {
      usable.push_back(point);
      if (use.empty() || std::ranges::find(use, point.orientation) != use.end()) {
        used.push_back(point);
      }
    }
  }
  Calibration result = fit_unknowns(computed, used, unknowns, is_at_base);
  if (!result.refusal.empty()) {
    return result;
  }
  Physical before;
  before.die_to_base_k_per_w = computed.die_to_base_k_per_w;
  for (const Group& group : groups_of(usable)) {
    const std::vector<MeasuredPoint> own = of_group(usable, group.panel, group.orientation);
    std::vector<MeasuredPoint> others;
    std::ranges::copy_if(usable, std::back_inserter(others), [&](const MeasuredPoint& point) {
      return point.orientation != group.orientation;
    });
    const Calibration without = fit_unknowns(computed, others, unknowns, is_at_base);
    LeftOut left_out;
    left_out.panel = group.panel;
    left_out.orientation = group.orientation;
    left_out.n_points = static_cast<int>(own.size());
    left_out.before = root_mean_square(computed, own, before, is_at_base);
    left_out.refusal = without.refusal;
    left_out.after = without.refusal.empty()
                         ? root_mean_square(computed, own, without.physical, is_at_base)
                         : nan;
    result.left_out.push_back(left_out);
  }
  return result;
}

} // namespace tiltfin
