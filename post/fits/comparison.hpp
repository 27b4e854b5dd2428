#pragma once
// Computed against measured rises.

#include "post/fits/core_limit.hpp"
#include "post/fits/estimate.hpp"
#include "post/fits/groups.hpp"

#include <span>
#include <string>
#include <vector>

namespace tiltfin {

/// A solved condition.
struct ComputedPoint {
  std::string panel;
  std::string orientation;
  double power_w = 0.0;
  Estimate base_rise_k; ///< error: of the mesh
};

struct Computed {
  std::string title;
  CoreLimit core;
  std::vector<ComputedPoint> points;   ///< those that were solved: converged or time averages
  double metal_capacity_j_per_k = nan; ///< of the cooler; NaN: not known
  std::vector<std::string> outside{};  ///< conditions that lie outside the model, in words
  std::vector<Placing> listed{};       ///< of every condition, solved or not
};

struct MeasuredPoint {
  std::string panel;
  std::string orientation;
  double power_w = 0.0;
  Estimate rise_k; ///< of the core or of the base; error: half-width of its 95 % interval
};

/// What the case file cannot know well.
struct Physical {
  double core_to_base_k_per_w = 0.0;
  double heat_share = 1.0;  ///< of the electrical power, that goes through the cooler
  double depth_ratio = 1.0; ///< effective depth of the section over the one of the case
};

/// Rise of the base at a power, from the solved powers of one panel state and orientation: a power
/// law through neighbouring powers, its end pieces going on outside; through a single power a line
/// through zero. `is_outside`: more than 2 % beyond the solved powers. NaN without a point.
struct BaseRise {
  Estimate rise_k{.value = nan};
  bool is_outside = false;
};
[[nodiscard]] BaseRise base_rise_at(const Computed& computed, const Placing& placing,
                                    double power_w);

/// Rise where it was measured: the base's at heat_share * power / depth_ratio (the section knows
/// power per depth only), plus core_to_base * heat_share * power when the core was measured.
[[nodiscard]] BaseRise predict(const Computed& computed, const MeasuredPoint& point,
                               const Physical& physical, bool is_at_base);

struct ComparedPoint {
  MeasuredPoint measured;
  BaseRise computed;
  double deviation = 0.0; ///< computed / measured - 1
};

/// Two orientations of one panel state at the same power, by ascending measured rise.
struct OrderCheck {
  std::string panel;
  std::string cooler; ///< orientation with the smaller measured rise
  std::string hotter;
  double power_w = 0.0;
  double measured_ratio = 0.0; ///< rise of hotter / cooler
  double computed_ratio = 0.0;
  bool is_clear = false; ///< the measured difference exceeds both intervals together
  [[nodiscard]] bool is_agreed() const { return computed_ratio > 1.0; }
};

struct Comparison {
  std::vector<ComparedPoint> points;   ///< those with a computed counterpart
  std::vector<MeasuredPoint> unsolved; ///< those without
  double bias = 0.0;                   ///< mean of ln(computed / measured)
  double spread = 0.0;                 ///< standard deviation of it; NaN for fewer than two points
  std::vector<OrderCheck> orders;
};

/// True for a point with a rise where something was solved.
[[nodiscard]] bool is_computed(const Computed& computed, const MeasuredPoint& point);

/// Point by point. Orders are compared at the geometric mean of the powers measured in both
/// orientations, on power laws fitted to the measured points (two powers or more in each).
[[nodiscard]] Comparison compare(const Computed& computed, std::span<const MeasuredPoint> measured,
                                 const Physical& physical, bool is_at_base);

} // namespace tiltfin
