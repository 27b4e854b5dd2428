#pragma once
// Samples of a soak to means per minute.

#include <vector>

namespace tiltfin {

inline constexpr double minute_s = 60.0;

/// Mean over a stretch of time of equal length for all.
struct SoakMean {
  double time_s = 0.0; ///< middle of the stretch, since the first sample
  double rise_k = 0.0; ///< above ambient
  double power_w = 0.0;
  double ambient_c = 0.0;
};

/// Samples to means, in constant memory: minutes to begin with; when there are more than 2048 (34
/// hours), two stretches become one, and so on.
class MinuteMeans {
public:
  /// Times ascend (equal ones are fine) from about 0 on.
  void add(double time_s, double rise_k, double power_w, double ambient_c);

  /// The means so far; stretches without a sample are left out. A stretch of several minutes is the
  /// mean of the means of its minutes.
  [[nodiscard]] std::vector<SoakMean> means() const;

  [[nodiscard]] int minutes_per_mean() const { return minutes_per_mean_; }
  /// Minutes between the first and the last sample in which no sample fell.
  [[nodiscard]] long long empty_minutes() const;

private:
  struct Sum {
    double n = 0.0;
    double rise_k = 0.0;
    double power_w = 0.0;
    double ambient_c = 0.0;
  };
  void finish_minute();
  [[nodiscard]] static SoakMean mean_of(const Sum& sum);

  long long minute_ = 0; ///< the one that samples fall into now
  Sum samples_;          ///< of that minute
  int minutes_per_mean_ = 1;
  long long full_minutes_ = 0;
  std::vector<Sum> stretches_; ///< sums of means of minutes
};

} // namespace tiltfin
