#pragma once
// The one power at which choices are compared.

#include "cases/file/case.hpp"

#include <optional>

namespace tiltfin {

/// What was asked for, else the largest power of the case [W]. Throws InputError where that is not
/// above 0.
[[nodiscard]] double choice_power(const Case& the_case, std::optional<double> asked_w);

} // namespace tiltfin
