#pragma once
// Numbers that stand outside case files, such as on the command line: one reader for all of them.

#include "cases/input/keys.hpp"

#include <optional>
#include <string>
#include <string_view>

namespace tiltfin {

/// The finite number that a text is, all of it, with a decimal point ("2", "-0.5", "+1e-3"); none
/// for anything else: blanks, "nan", "inf", "0x10", a number too large, nothing at all.
[[nodiscard]] std::optional<double> number_of_text(std::string_view text);

/// What is wrong with a number: "found 'nan', allowed a number above 0"; empty: nothing.
[[nodiscard]] std::string fault_in_number(const std::string& text, const Bounds& bounds);

} // namespace tiltfin
