#include "cases/input/keys.hpp"

#include "mesh/section.hpp"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <stdexcept>
#include <utility>

namespace tiltfin {
namespace {

constexpr double longest_mm = 1e5; // 100 m
constexpr double largest_w = 1e6;
constexpr double century_min = 100.0 * 365.25 * 24.0 * 60.0;

} // namespace

std::string in_words(const Bounds& bounds) {
  const std::string low = show(bounds.low);
  if (bounds.is_whole) {
    return fmt::format("a whole number from {} to {}", low, show(bounds.high));
  }
  if (!std::isfinite(bounds.low)) {
    return "a number";
  }
  if (!std::isfinite(bounds.high)) {
    return bounds.low_is_allowed ? fmt::format("a number of {} or more", low)
                                 : fmt::format("a number above {}", low);
  }
  return bounds.low_is_allowed
             ? fmt::format("a number from {} to {}", low, show(bounds.high))
             : fmt::format("a number above {} and at most {}", low, show(bounds.high));
}

bool is_within(const Bounds& bounds, double value) {
  const bool is_low = bounds.low_is_allowed ? value < bounds.low : value <= bounds.low;
  return std::isfinite(value) && !is_low && value <= bounds.high &&
         (!bounds.is_whole || value == std::floor(value));
}

Bounds between(double low, double high) {
  return {.low = low, .high = high};
}

Bounds whole(int low, int high) {
  return {.low = static_cast<double>(low), .high = static_cast<double>(high), .is_whole = true};
}

Bounds length_above_zero() {
  return between(1e-3, longest_mm);
}

Bounds length_of_zero_or_more() {
  return between(0.0, longest_mm);
}

Bounds cell_length() {
  return {.low = 0.0, .high = longest_mm, .low_is_allowed = false};
}

Bounds gap_length() {
  return between(0.01, 1000.0);
}

Bounds hole_length() {
  return between(0.1, 1000.0);
}

Bounds conductivity() {
  return between(1e-9, 1e9);
}

Bounds film() {
  return between(1e-6, 1e6);
}

Bounds contact_resistance() {
  return between(0.0, 10.0);
}

Bounds conductance() {
  return between(1e-6, 1e6);
}

Bounds resistance() {
  return between(0.0, 1000.0);
}

Bounds solid_density() {
  return between(1.0, 25000.0);
}

Bounds power_above_zero() {
  return between(1e-6, largest_w);
}

Bounds power_of_zero_or_more() {
  return between(0.0, largest_w);
}

Bounds celsius() {
  return {.low = -zero_celsius, .high = 3000.0, .low_is_allowed = false};
}

Bounds minutes_above_zero() {
  return {.low = 0.0, .high = century_min, .low_is_allowed = false};
}

Bounds minutes_of_zero_or_more() {
  return between(0.0, century_min);
}

KeyTable joined(KeyTable keys, const KeyTable& more) {
  keys.insert(keys.end(), more.begin(), more.end());
  return keys;
}

std::vector<std::string> names_of(const KeyTable& keys) {
  std::vector<std::string> names;
  for (const Key& key : keys) {
    names.push_back(key.name);
  }
  return names;
}

const Key* find_key(const KeyTable& keys, const std::string& name) {
  const auto place = std::ranges::find(keys, name, &Key::name);
  return place == keys.end() ? nullptr : &*place;
}

const Bounds& bounds_of(const KeyTable& keys, const std::string& name) {
  const Key* key = find_key(keys, name);
  if (key == nullptr) {
    throw std::logic_error("no key '" + name + "' is declared in the table asked for its bounds");
  }
  return key->bounds;
}

std::string unit_of(const std::string& name) {
  using Ending = std::pair<const char*, const char*>;
  // Of two endings that fit, the longer one stands first.
  static constexpr std::array<Ending, 16> endings{{{"_w_per_m2k", "W/(m2 K)"},
                                                   {"_m2k_per_w", "m2 K/W"},
                                                   {"_w_per_mk", "W/(m K)"},
                                                   {"_w_per_k", "W/K"},
                                                   {"_k_per_w", "K/W"},
                                                   {"_kg_per_m3", "kg/m3"},
                                                   {"_j_per_kgk", "J/(kg K)"},
                                                   {"_m_per_s2", "m/s2"},
                                                   {"_per_k", "1/K"},
                                                   {"_pa_s", "Pa s"},
                                                   {"_percent", "%"},
                                                   {"_min", "min"},
                                                   {"_mm", "mm"},
                                                   {"_c", "degrees Celsius"},
                                                   {"_w", "W"},
                                                   {"_k", "K"}}};
  const auto fits = [&name](const Ending& ending) { return name.ends_with(ending.first); };
  const auto* const place = std::ranges::find_if(endings, fits);
  return place == endings.end() ? "" : place->second;
}

std::string allowed_words(const Key& key) {
  if (!key.allowed.empty()) {
    return key.allowed;
  }
  if (key.table != nullptr) {
    return key.is_list ? "tables" : "a table";
  }
  return key.options.empty() ? in_words(key.bounds)
                             : fmt::format("{}", fmt::join(key.options, ", "));
}

std::string fallback_text(const Key& key) {
  if (const double* number = std::get_if<double>(&key.fallback)) {
    return show(*number);
  }
  const auto* text = std::get_if<std::string_view>(&key.fallback);
  return text == nullptr ? "" : fmt::format("\"{}\"", *text);
}

std::string show(double value) {
  return fmt::format("{:.12g}", value);
}

} // namespace tiltfin
