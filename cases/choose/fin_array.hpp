#pragma once
// The fins of a case's cooler laid out anew.

#include "cases/file/case.hpp"
#include "cases/geometry/fins.hpp"

namespace tiltfin {

/// How the case's cooler is laid out. Throws InputError with the reason for [ring] and [section].
[[nodiscard]] FinArray fin_array(const Case& the_case);

/// The case with its fins laid out anew, everything else as it was. Throws InputError, at the place
/// in the original file, when the cooler then does not fit or cannot be meshed.
[[nodiscard]] Case with_fins(const Case& the_case, const FinArray& array);

/// The case with a power [W] added to its list, if it is not there.
[[nodiscard]] Case with_power(const Case& the_case, double power_w);

} // namespace tiltfin
