#include "post/fits/soak.hpp"

#include "post/fits/estimate.hpp"
#include "post/fits/least_squares.hpp"
#include "post/fits/straight_line.hpp"
#include "post/fits/student.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <limits>
#include <numeric>

namespace tiltfin {
namespace {

constexpr int fewest_means = 10;
constexpr std::size_t wanted_batches = 16; // as few as keep Student's t near 2

/// Where the settled part starts by the marginal standard error rule.
std::size_t settled_start(std::span<const SoakMean> means) {
  const std::size_t n = means.size();
  const std::size_t fewest = std::max<std::size_t>(fewest_means, (n + 3) / 4);
  std::size_t best = 0;
  double best_score = std::numeric_limits<double>::infinity();
  // From the end on; sums about the last value, so that nothing cancels.
  const double origin = means.back().rise_k;
  double sum = 0.0;
  double squares = 0.0;
  for (std::size_t left = 1; left <= n; ++left) {
    const double value = means[n - left].rise_k - origin;
    sum += value;
    squares += value * value;
    if (left < fewest) {
      continue;
    }
    const auto count = static_cast<double>(left);
    const double score = (squares - sum * sum / count) / (count * count);
    if (score <= best_score) {
      best_score = score;
      best = n - left;
    }
  }
  return best;
}

/// Means that count after the reduction for correlation.
double effective_number(std::size_t n, double correlation) {
  return static_cast<double>(n) * (1.0 - correlation) / (1.0 + correlation);
}

/// Scatter of the means about what was fitted to them, from batches of neighbouring means.
struct Noise {
  double variance = 0.0;    ///< of the mean of a batch
  double batch = 1.0;       ///< means in a batch
  double correlation = 0.0; ///< of neighbouring batches
  double freedom = 1.0;     ///< of the variance, reduced for correlation

  /// Standard error of the mean of n means.
  [[nodiscard]] double of_mean(std::size_t n) const {
    const double independent = (1.0 - correlation) / (1.0 + correlation) / batch;
    return std::sqrt(variance / std::max(1.0, static_cast<double>(n) * independent));
  }
};

Noise noise_of(std::span<const double> residuals, int n_parameters) {
  const std::size_t batch = std::max<std::size_t>(1, residuals.size() / wanted_batches);
  std::vector<double> batches;
  for (std::size_t k = residuals.size() % batch; k < residuals.size(); k += batch) {
    const std::span<const double> members = residuals.subspan(k, batch);
    batches.push_back(std::accumulate(members.begin(), members.end(), 0.0) /
                      static_cast<double>(batch));
  }
  Noise noise;
  noise.batch = static_cast<double>(batch);
  noise.correlation = neighbour_correlation(batches);
  const double n = static_cast<double>(batches.size());
  const double r2 = noise.correlation * noise.correlation;
  noise.freedom = std::max(1.0, (n - n_parameters) * (1.0 - r2) / (1.0 + r2));
  double squares = 0.0;
  for (const double value : batches) {
    squares += value * value;
  }
  const double independent = effective_number(batches.size(), noise.correlation);
  noise.variance = squares / n * independent / std::max(1.0, independent - n_parameters);
  return noise;
}

struct Drift {
  double change = 0.0; ///< of a straight line from the first to the last mean [K]
  double error = 0.0;  ///< its standard error
};

double mean_rise(std::span<const SoakMean> means) {
  double sum = 0.0;
  for (const SoakMean& mean : means) {
    sum += mean.rise_k;
  }
  return sum / static_cast<double>(means.size());
}

Drift drift_of(std::span<const SoakMean> means) {
  std::vector<double> times;
  std::vector<double> rises;
  for (const SoakMean& mean : means) {
    times.push_back(mean.time_s);
    rises.push_back(mean.rise_k);
  }
  const StraightLine line = fit_straight_line(times, rises);
  std::vector<double> residuals;
  for (const SoakMean& mean : means) {
    residuals.push_back(mean.rise_k - line.at(mean.time_s));
  }
  const double length = means.back().time_s - means.front().time_s;
  // The slope's variance is that of n independent values, enlarged as that of their mean is.
  const double enlarged =
      noise_of(residuals, 2).of_mean(means.size()) * std::sqrt(static_cast<double>(means.size()));
  return {line.slope * length, length * enlarged / std::sqrt(line.sxx)};
}

/// Power, ambient, length and place of the part used.
void describe(std::span<const SoakMean> used, Soak& soak) {
  const auto n = static_cast<double>(used.size());
  for (const SoakMean& mean : used) {
    soak.power_w += mean.power_w / n;
    soak.ambient_c += mean.ambient_c / n;
  }
  soak.used_from_min = used.front().time_s / minute_s;
  soak.n_means = static_cast<int>(used.size());
}

void set_settled(std::span<const SoakMean> part, const Noise& noise, double missing, Soak& soak) {
  soak.status = SoakStatus::settled;
  soak.rise_k = mean_rise(part);
  soak.correlation = noise.correlation;
  soak.rise_error_k = noise.of_mean(part.size());
  soak.rise_half_k = student_quantile(noise.freedom) * soak.rise_error_k + missing;
  describe(part, soak);
}

/// Scatter about the mean of a part.
Noise noise_about_mean(std::span<const SoakMean> part) {
  const double mean = mean_rise(part);
  std::vector<double> residuals;
  for (const SoakMean& value : part) {
    residuals.push_back(value.rise_k - mean);
  }
  return noise_of(residuals, 1);
}

/// rise = end - rest * exp(-(t - t_last) / tau); parameters are end, rest and ln tau.
double approach(std::span<const double> parameters, double before_last_s) {
  return parameters[0] - parameters[1] * std::exp(before_last_s / std::exp(parameters[2]));
}

/// Best end and rest for a given tau (linear), with their sum of squares.
std::vector<double> linear_start(std::span<const SoakMean> part, double tau, double& squares) {
  std::vector<double> gone;
  std::vector<double> rises;
  for (const SoakMean& mean : part) {
    gone.push_back(std::exp((part.back().time_s - mean.time_s) / tau));
    rises.push_back(mean.rise_k);
  }
  const StraightLine line = fit_straight_line(gone, rises);
  squares = line.sum_of_squares;
  return {line.at(0.0), -line.slope, std::log(tau)};
}

struct Approach {
  std::span<const SoakMean> part;
  double end_k = 0.0;
  double rest_k = 0.0; ///< still missing at the last mean
  double tau_s = 0.0;
  double end_error_k = 0.0;
  double end_half_k = 0.0;
  Noise noise;
  bool is_usable = false;
};

Approach fit_approach(std::span<const SoakMean> part) {
  Approach result;
  result.part = part;
  const double length = part.back().time_s - part.front().time_s;
  std::vector<double> start;
  double least = std::numeric_limits<double>::infinity();
  double tau = length / 20.0;
  while (tau < 20.0 * length) {
    double squares = 0.0;
    const std::vector<double> candidate = linear_start(part, tau, squares);
    if (squares < least) {
      least = squares;
      start = candidate;
    }
    tau *= 1.3;
  }
  if (start.empty()) {
    return result;
  }
  const auto residuals = [&](std::span<const double> parameters, std::span<double> values) {
    for (std::size_t k = 0; k < part.size(); ++k) {
      values[k] = approach(parameters, part.back().time_s - part[k].time_s) - part[k].rise_k;
    }
  };
  const LeastSquares fit = minimise_squares(residuals, start, static_cast<int>(part.size()));
  std::vector<double> left(part.size());
  residuals(fit.parameters, left);
  result.noise = noise_of(left, 3);
  const double freedom = result.noise.freedom;
  result.end_k = fit.parameters[0];
  result.rest_k = fit.parameters[1];
  result.tau_s = std::exp(fit.parameters[2]);
  const double enlarged = result.noise.of_mean(part.size()) *
                          std::sqrt(static_cast<double>(part.size())); // as in drift_of
  result.end_error_k = enlarged * std::sqrt(fit.inverse_normal[0]);
  result.end_half_k = student_quantile(freedom) * result.end_error_k;
  result.is_usable = fit.is_converged && result.tau_s <= length && result.end_k > 0.0 &&
                     result.end_half_k <= 0.25 * result.end_k;
  return result;
}

/// What the approach still lacks at a mean [K].
double missing_at(const Approach& approach, const SoakMean& mean) {
  return std::abs(approach.rest_k) *
         std::exp((approach.part.back().time_s - mean.time_s) / approach.tau_s);
}

/// First mean of its part at which no more than a share of the rise is missing.
std::size_t arrival(const Approach& approach, double share) {
  std::size_t k = 0;
  while (k < approach.part.size() &&
         missing_at(approach, approach.part[k]) > share * approach.end_k) {
    ++k;
  }
  return k;
}

/// Mean over `tail` of what the approach still lacks [K].
double mean_missing(const Approach& approach, std::span<const SoakMean> tail) {
  double sum = 0.0;
  for (const SoakMean& mean : tail) {
    sum += missing_at(approach, mean);
  }
  return sum / static_cast<double>(tail.size());
}

void set_extrapolated(const Approach& approach, Soak& soak) {
  soak.status = SoakStatus::extrapolated;
  soak.rise_k = approach.end_k;
  soak.rise_error_k = approach.end_error_k;
  soak.rise_half_k = approach.end_half_k;
  soak.correlation = approach.noise.correlation;
  soak.time_constant_min = approach.tau_s / minute_s;
  describe(approach.part, soak);
}

} // namespace

const char* name(SoakStatus status) {
  switch (status) {
  case SoakStatus::settled:
    return "settled";
  case SoakStatus::extrapolated:
    return "extrapolated";
  case SoakStatus::unsettled:
    break;
  }
  return "unsettled";
}

double neighbour_correlation(std::span<const double> residuals) {
  const auto n = static_cast<double>(residuals.size());
  double squares = 0.0;
  double products = 0.0;
  for (std::size_t k = 0; k < residuals.size(); ++k) {
    squares += residuals[k] * residuals[k];
    products += k > 0 ? residuals[k] * residuals[k - 1] : 0.0;
  }
  if (n < 5.0 || squares == 0.0) {
    return 0.0;
  }
  return std::clamp((n * products / squares + 1.0) / (n - 3.0), 0.0, 0.97);
}

Soak reduce_soak(std::span<const SoakMean> means, const SoakRule& rule) {
  Soak soak;
  soak.rise_k = soak.rise_error_k = soak.rise_half_k = soak.time_constant_min = nan;
  if (!means.empty()) {
    soak.minutes = means.back().time_s / minute_s + 0.5;
  }
  if (means.size() < fewest_means) {
    soak.warning = fmt::format("only {} means, at least {} are needed", means.size(), fewest_means);
    if (!means.empty()) {
      describe(means, soak);
    }
    return soak;
  }
  std::size_t fitted_from = means.size() / 3;
  Approach approach = fit_approach(means.subspan(fitted_from));
  if (!approach.is_usable) { // too little of it left to see: take more of the climb
    fitted_from = means.size() / 10;
    approach = fit_approach(means.subspan(fitted_from));
  }
  std::size_t start = settled_start(means);
  if (approach.is_usable) {
    start = fitted_from + arrival(approach, rule.missing_share);
  }
  const bool has_arrived = start + fewest_means <= means.size();
  const std::span<const SoakMean> tail =
      means.subspan(has_arrived ? start : means.size() - fewest_means);
  const Drift drift = drift_of(tail);
  soak.drift_k = drift.change;
  const double bound = std::max(rule.drift_share * std::abs(mean_rise(tail)), rule.drift_k);
  if (has_arrived && std::abs(drift.change) <= std::max(bound, 2.0 * drift.error)) {
    if (approach.is_usable) {
      set_settled(tail, approach.noise, mean_missing(approach, tail), soak);
    } else {
      set_settled(tail, noise_about_mean(tail), 0.0, soak);
    }
    return soak;
  }
  const std::string found =
      has_arrived ? fmt::format("never settled (drift {:+.2f} K over the last {:.0f} min)",
                                drift.change, (tail.back().time_s - tail.front().time_s) / minute_s)
                  : "never settled (fewer than 10 means since the approach came near its end)";
  if (approach.is_usable) {
    set_extrapolated(approach, soak);
    soak.warning = fmt::format("{}: the end of a fitted exponential approach with a time constant "
                               "of {:.0f} min is given",
                               found, soak.time_constant_min);
  } else {
    describe(tail, soak);
    soak.warning = found + ": no usable exponential approach, the soak was too short; left out";
  }
  return soak;
}

} // namespace tiltfin
