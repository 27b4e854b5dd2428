#include "post/reports/table_parts.hpp"

#include <fmt/format.h>

#include <array>
#include <cmath>

namespace tiltfin {
namespace {

constexpr std::array<const char*, 3> cautions{
    "A cooler may be hot enough to burn long before it fails, and stays hot after switching off.",
    "Work on mains-powered equipment is for those licensed to do it; local codes apply.",
    "The chip maker's limits prevail over any power limit in this table."};

constexpr const char* caution_of_solves = "The section is two-dimensional and the air laminar; the "
                                          "documentation says what that leaves out. "
                                          "Measure before you rely on a number.";

} // namespace

std::string show_exponent(const Trend& trend) {
  if (trend.n_points > 2) {
    return fmt::format("{:.3f} ({:.2f} to {:.2f})", trend.exponent, trend.exponent_low,
                       trend.exponent_high);
  }
  if (trend.n_points == 2) {
    return fmt::format("{:.3f}", trend.exponent);
  }
  return trend.n_points == 1 ? "1 (assumed)" : "-";
}

std::string with_error(const Estimate& estimate) {
  return with_error(estimate.value, estimate.error);
}

std::string show_percent(double share) {
  return std::isfinite(share) ? fmt::format("{:.0f} %", 100.0 * share) : "-";
}

const char* where_measured(bool is_at_base) {
  return is_at_base ? "base" : "core";
}

std::string show_place(const CoreLimit& core) {
  return core.core_to_base_k_per_w > 0.0
             ? fmt::format("at the core ({:g} K/W from core to base)", core.core_to_base_k_per_w)
             : "at the base";
}

bool is_better(double power_w, double other_w) {
  if (std::isnan(power_w) || std::isnan(other_w)) {
    return !std::isnan(power_w) && std::isnan(other_w);
  }
  return power_w > other_w;
}

ChartPoint chart_point(double x, const Estimate& y, bool is_doubtful) {
  return {x, y.value, y.value - y.bar(), y.value + y.bar(), is_doubtful};
}

std::string short_cautions() {
  std::string text = "Cautions\n";
  for (const char* caution : cautions) {
    text += wrapped("  ", caution, 4);
  }
  return text;
}

std::string solve_cautions() {
  return short_cautions() + wrapped("  ", caution_of_solves, 4);
}

} // namespace tiltfin
