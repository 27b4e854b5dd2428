#include "post/numbers/stability_verdict.hpp"

#include <cmath>
#include <numbers>

namespace tiltfin {
namespace {

/// Frequency over growth below which a disturbance is said to grow or decay without swinging.
constexpr double smallest_swing = 1e-3;

} // namespace

const char* name(Stability stability) {
  switch (stability) {
  case Stability::not_examined:
    return "not examined";
  case Stability::skipped:
    return "skipped";
  case Stability::awaited:
    return "not yet examined";
  case Stability::stable:
    return "stable";
  case Stability::sways:
    return "sways";
  case Stability::unstable:
    break;
  }
  return "unstable";
}

StabilityVerdict stability_of(const SolveReport& report) {
  StabilityVerdict verdict;
  if (report.stability_known) {
    verdict.state = report.unstable ? Stability::unstable
                    : report.sways  ? Stability::sways
                                    : Stability::stable;
    verdict.growth_per_s = report.growth;
    verdict.searched_rad_per_s = report.searched;
    if (report.frequency > smallest_swing * std::abs(report.growth)) {
      verdict.period_s = 2.0 * std::numbers::pi / report.frequency;
    }
  }
  return verdict;
}

} // namespace tiltfin
