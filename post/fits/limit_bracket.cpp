#include "post/fits/limit_bracket.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <iterator>
#include <limits>
#include <vector>

namespace tiltfin {
namespace {

constexpr double largest_leap = 4.0; // beyond the last point: a start further away serves badly
constexpr double hair = 1e-9;        // relative, of powers that are equal

using LimitPoints = std::vector<LimitPoint>;

LimitPoints usable_points(std::span<const LimitPoint> points) {
  LimitPoints kept;
  std::ranges::copy_if(points, std::back_inserter(kept), [](const LimitPoint& point) {
    return point.power_w > 0.0 && std::isfinite(point.rise_k.value) && point.rise_k.value > 0.0;
  });
  std::ranges::stable_sort(kept, {}, &LimitPoint::power_w);
  return kept;
}

double core_rise(const LimitPoint& point, const CoreLimit& core) {
  return point.rise_k.value + core.core_to_base_k_per_w * point.power_w;
}

/// Index of the point above the limit whose predecessor is below it; 0: there is none.
std::size_t upper_of_bracket(const LimitPoints& points, const CoreLimit& core) {
  for (std::size_t k = 1; k < points.size(); ++k) {
    if (core_rise(points[k - 1], core) < core.rise_k() &&
        core_rise(points[k], core) >= core.rise_k()) {
      return k;
    }
  }
  return 0;
}

bool is_narrow(const LimitPoint& low, const LimitPoint& high) {
  return high.power_w <= bracket_ratio * low.power_w * (1.0 + hair);
}

/// Where the power law through the two of them meets the limit; NaN when it does not.
double limit_through(const LimitPoint& a, const LimitPoint& b, const CoreLimit& core) {
  const std::array<TrendPoint, 2> both{
      {{a.power_w, a.rise_k.value, 0.0}, {b.power_w, b.rise_k.value, 0.0}}};
  return fitted_power_limit(fit_power_law(both), core.rise_k(), core.core_to_base_k_per_w);
}

/// The k-th preferred number of the series R20 [W]; k = 0 is 1 W.
double preferred(int k) {
  constexpr std::array<int, 20> hundredths{100, 112, 125, 140, 160, 180, 200, 224, 250, 280,
                                           315, 355, 400, 450, 500, 560, 630, 710, 800, 900};
  const int decade = k >= 0 ? k / 20 : -((19 - k) / 20);
  const double digits = hundredths.at(static_cast<std::size_t>(k - 20 * decade));
  // One exact operation at most is rounded: the number that its decimals mean, 112 or 0.112.
  const double scale = std::pow(10.0, std::abs(decade - 2));
  return decade >= 2 ? digits * scale : digits / scale;
}

int nearest_preferred(double power) {
  return static_cast<int>(std::lround(20.0 * std::log10(power)));
}

/// The preferred number nearest to `wish` among those between two powers, which are more than a
/// step apart.
double preferred_between(double wish, double low, double high) {
  int k = nearest_preferred(std::clamp(wish, low, high));
  while (preferred(k) <= low * (1.0 + hair)) {
    ++k;
  }
  while (preferred(k) >= high * (1.0 - hair)) {
    --k;
  }
  return preferred(k);
}

/// The one nearest to `wish` beyond the last point in one direction (+1 up, -1 down); near that
/// point rather the one that lies beyond the limit as well.
double preferred_beyond(double wish, double last, int direction) {
  const double farthest = direction > 0 ? last * largest_leap : last / largest_leap;
  const double bounded = direction > 0 ? std::min(wish, farthest) : std::max(wish, farthest);
  const auto is_past = [direction](double power, double mark) {
    return direction > 0 ? power > mark * (1.0 + hair) : power < mark * (1.0 - hair);
  };
  const auto ratio = [last](double power) { return std::max(power / last, last / power); };
  int k = nearest_preferred(bounded);
  while (!is_past(preferred(k), last)) {
    k += direction;
  }
  if (!is_past(preferred(k), bounded) &&
      ratio(preferred(k + direction)) <= bracket_ratio * (1.0 + hair)) {
    k += direction;
  }
  return preferred(k);
}

/// Points by their distance from a power, nearest first.
LimitPoints by_distance(LimitPoints points, double power) {
  std::ranges::stable_sort(points, {}, [power](const LimitPoint& point) {
    return std::abs(std::log(point.power_w / power));
  });
  return points;
}

/// d ln(base rise) / d ln(power) through two points.
double exponent_through(const LimitPoint& a, const LimitPoint& b) {
  return std::log(b.rise_k.value / a.rise_k.value) / std::log(b.power_w / a.power_w);
}

/// Of the core's rise at the limit [K/W].
double slope_at(double power, double exponent, const CoreLimit& core) {
  const double base_rise = core.rise_k() - core.core_to_base_k_per_w * power;
  return exponent * base_rise / power + core.core_to_base_k_per_w;
}

double base_rise_at_limit(double power, const CoreLimit& core) {
  return core.rise_k() - core.core_to_base_k_per_w * power;
}

/// Where the limit lies when the rise goes on from one point with an exponent.
double limit_from(const LimitPoint& point, double exponent, const CoreLimit& core) {
  Trend law;
  law.n_points = 1;
  law.exponent = exponent;
  law.factor = point.rise_k.value / std::pow(point.power_w, exponent);
  return fitted_power_limit(law, core.rise_k(), core.core_to_base_k_per_w);
}

double relative_error(const LimitPoint& point) {
  return point.rise_k.error / point.rise_k.value;
}

/// The third point's part in a bracket; NaN without a third point.
double curvature_w(const LimitPoints& points, const LimitPoint& a, const LimitPoint& b,
                   double power, double slope, const CoreLimit& core) {
  for (const LimitPoint& c : by_distance(points, power)) {
    if (c.power_w == a.power_w || c.power_w == b.power_w) {
      continue;
    }
    const double bend =
        (exponent_through(b, c) - exponent_through(a, b)) / std::log(c.power_w / a.power_w);
    const double relative =
        std::abs(bend * std::log(power / a.power_w) * std::log(power / b.power_w));
    return relative * base_rise_at_limit(power, core) / slope;
  }
  return nan;
}

void set_between(const LimitPoints& points, const LimitPoint& a, const LimitPoint& b,
                 const Trend& trend, const CoreLimit& core, BracketedLimit& limit) {
  const double power = limit.power_w;
  const double slope = slope_at(power, exponent_through(a, b), core);
  const double part = std::log(power / a.power_w) / std::log(b.power_w / a.power_w);
  const double relative = (1.0 - part) * relative_error(a) + part * relative_error(b);
  limit.basis = is_narrow(a, b) ? LimitBasis::bracketed : LimitBasis::interpolated;
  limit.low_w = a.power_w;
  limit.high_w = b.power_w;
  limit.mesh_w = relative * base_rise_at_limit(power, core) / slope;
  limit.fit_w = curvature_w(points, a, b, power, slope, core);
  limit.flow_w = std::max(a.flow_k, b.flow_k) / slope;
  if (a.kind != b.kind) {
    const double span = limit_from(a, trend.exponent, core) - limit_from(b, trend.exponent, core);
    limit.flow_w = std::max(limit.flow_w, 0.5 * std::abs(span));
  }
}

void set_at(const LimitPoint& point, const Trend& trend, const CoreLimit& core,
            BracketedLimit& limit) {
  const double slope = slope_at(limit.power_w, trend.exponent, core);
  limit.basis = LimitBasis::bracketed;
  limit.low_w = limit.high_w = point.power_w;
  limit.mesh_w = point.rise_k.error / slope;
  limit.fit_w = 0.0;
  limit.flow_w = point.flow_k / slope;
}

void set_outside(const LimitPoints& points, const Trend& trend, const CoreLimit& core,
                 BracketedLimit& limit) {
  const double fitted = limit.power_w;
  const LimitPoints nearest = by_distance(points, fitted);
  double exponent = trend.exponent;
  limit.basis = LimitBasis::extrapolated;
  if (points.size() > 2) {
    const double local = limit_through(nearest[0], nearest[1], core);
    limit.fit_w = std::abs(local - fitted);
    if (std::ranges::any_of(points, &LimitPoint::is_added) && std::isfinite(local)) {
      limit.power_w = local;
      exponent = exponent_through(nearest[0], nearest[1]);
    }
  }
  const double slope = slope_at(limit.power_w, exponent, core);
  limit.mesh_w = relative_error(nearest[0]) * base_rise_at_limit(limit.power_w, core) / slope;
  limit.flow_w = nearest[0].flow_k / slope;
  (nearest[0].power_w < limit.power_w ? limit.low_w : limit.high_w) = nearest[0].power_w;
}

} // namespace

const char* name(LimitBasis basis) {
  switch (basis) {
  case LimitBasis::extrapolated:
    return "extrapolated";
  case LimitBasis::interpolated:
    return "interpolated";
  case LimitBasis::bracketed:
    return "bracketed";
  case LimitBasis::none:
    break;
  }
  return "";
}

std::optional<double> power_to_add(std::span<const LimitPoint> points,
                                   std::span<const double> failed, const CoreLimit& core) {
  const LimitPoints kept = usable_points(points);
  const auto n_added = std::ranges::count_if(kept, &LimitPoint::is_added);
  if (kept.empty() || !(core.rise_k() > 0.0) || n_added >= most_added_powers) {
    return std::nullopt;
  }
  const std::size_t upper = upper_of_bracket(kept, core);
  const auto any_failed_between = [&](double low, double high) {
    return std::ranges::any_of(failed, [&](double power) { return power > low && power < high; });
  };
  if (upper > 0) {
    const LimitPoint& a = kept[upper - 1];
    const LimitPoint& b = kept[upper];
    if (is_narrow(a, b) || any_failed_between(a.power_w, b.power_w)) {
      return std::nullopt;
    }
    return preferred_between(limit_through(a, b, core), a.power_w, b.power_w);
  }
  const bool goes_up = core_rise(kept.back(), core) < core.rise_k();
  const std::size_t n = kept.size();
  const LimitPoint& last = goes_up ? kept[n - 1] : kept[0];
  const LimitPoint& before = n == 1 ? last : (goes_up ? kept[n - 2] : kept[1]);
  const double wish = limit_through(before, last, core);
  const double end = std::numeric_limits<double>::infinity();
  if (!std::isfinite(wish) || !(wish > 0.0) ||
      (goes_up ? any_failed_between(last.power_w, end) : any_failed_between(0.0, last.power_w))) {
    return std::nullopt;
  }
  return preferred_beyond(wish, last.power_w, goes_up ? 1 : -1);
}

double BracketedLimit::error_w() const {
  return mesh_w + (std::isfinite(fit_w) ? fit_w : 0.0) + (std::isfinite(flow_w) ? flow_w : 0.0);
}

BracketedLimit bracketed_limit(const Trend& trend, std::span<const LimitPoint> points,
                               const CoreLimit& core) {
  BracketedLimit limit;
  const LimitPoints kept = usable_points(points);
  std::vector<TrendPoint> plain;
  for (const LimitPoint& point : kept) {
    plain.push_back({point.power_w, point.rise_k.value, 0.0});
  }
  const PowerLimit found = power_limit(trend, plain, core.rise_k(), core.core_to_base_k_per_w);
  limit.power_w = found.power_w;
  if (!std::isfinite(limit.power_w) || kept.empty()) {
    return limit;
  }
  if (!(limit.power_w > 0.0)) { // the room alone is at the limit
    limit.basis = LimitBasis::extrapolated;
    return limit;
  }
  const std::size_t upper = upper_of_bracket(kept, core);
  if (upper > 0) {
    set_between(kept, kept[upper - 1], kept[upper], trend, core, limit);
  } else if (!found.extrapolated) {
    set_at(kept[0], trend, core, limit); // the lowest power that was solved
  } else {
    set_outside(kept, trend, core, limit);
  }
  return limit;
}

} // namespace tiltfin
