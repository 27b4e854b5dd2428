#pragma once
// One include for Catch2 2 and 3, and what equal means.
#if __has_include(<catch2/catch_test_macros.hpp>)
#include <catch2/catch_approx.hpp>
#include <catch2/catch_test_macros.hpp>
#include <catch2/generators/catch_generators.hpp>
#include <catch2/matchers/catch_matchers.hpp>
#include <catch2/matchers/catch_matchers_floating_point.hpp>
#include <catch2/matchers/catch_matchers_string.hpp>
#else
#include <catch2/catch.hpp>
#endif

namespace tiltfin::tests {
#if __has_include(<catch2/catch_test_macros.hpp>)
using Catch::Approx; // of 2 it is seen everywhere
using Catch::Matchers::ContainsSubstring;
#else
inline auto ContainsSubstring(const std::string& text) {
  return Catch::Matchers::Contains(text);
}
#endif
using Catch::Matchers::WithinAbs;
using Catch::Matchers::WithinRel;

inline constexpr double rounding = 1e-12; ///< some 1e4 roundings of numbers up to about one
} // namespace tiltfin::tests
