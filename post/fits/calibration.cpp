#include "post/fits/calibration.hpp"

#include "post/fits/estimate.hpp"
#include "post/fits/least_squares.hpp"
#include "post/fits/student.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <iterator>

namespace tiltfin {
namespace {

double& value_of(Physical& physical, Unknown unknown) {
  switch (unknown) {
  case Unknown::core_to_base:
    return physical.core_to_base_k_per_w;
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
  const double rise = predict(computed, point, physical, is_at_base).rise_k.value;
  return rise > 0.0 ? std::log(rise / point.rise_k.value) : 10.0;
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
  if (is_at_base && std::ranges::find(unknowns, Unknown::core_to_base) != unknowns.end()) {
    return "the base was measured, which tells nothing of the resistance from core to base";
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
  result.physical.core_to_base_k_per_w = computed.core.core_to_base_k_per_w;
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
  case Unknown::core_to_base:
    return "die-to-base";
  case Unknown::heat_share:
    return "heat-share";
  case Unknown::depth:
    break;
  }
  return "depth";
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
  before.core_to_base_k_per_w = computed.core.core_to_base_k_per_w;
  for (const std::vector<const MeasuredPoint*>& group : groups_by_placing(usable)) {
    std::vector<MeasuredPoint> own;
    std::ranges::transform(group, std::back_inserter(own),
                           [](const MeasuredPoint* point) { return *point; });
    const std::string& orientation = group.front()->orientation;
    std::vector<MeasuredPoint> others;
    std::ranges::copy_if(usable, std::back_inserter(others), [&](const MeasuredPoint& point) {
      return point.orientation != orientation;
    });
    const Calibration without = fit_unknowns(computed, others, unknowns, is_at_base);
    LeftOut left_out;
    left_out.panel = own.front().panel;
    left_out.orientation = orientation;
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
