#pragma once
// Weights of orientations: how much each counts where several are judged together.

#include "solver/condition.hpp"

#include <span>
#include <string>
#include <vector>

namespace tiltfin {

/// Shares that add up to 1, by orientation, from "upright=2" and the like; orientations that are
/// not named count nothing. Without any all count alike. Throws InputError for names that are no
/// orientation, for numbers below 0 and when nothing counts.
[[nodiscard]] std::vector<double> orientation_weights(const std::vector<std::string>& weights,
                                                      std::span<const Orientation> orientations);

/// "upright 67 %, flat-up 33 %".
[[nodiscard]] std::string weights_text(std::span<const double> weights,
                                       std::span<const Orientation> orientations);

} // namespace tiltfin
