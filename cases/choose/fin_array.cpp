#include "cases/choose/fin_array.hpp"

#include "cases/input/toml_text.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace tiltfin {
namespace {

constexpr double rounding = 1e-9; // of a number of fins that just fits

/// A length of a case that has been checked [m]; 0 when it is not there.
double length_at(const TomlValue& table, const std::string& key) {
  const TomlValue* value = entry(table, key);
  return value == nullptr ? 0.0 : value->number / 1000.0;
}

int count_at(const TomlValue& table, const std::string& key) {
  return static_cast<int>(entry(table, key)->number);
}

FinArray block_array(const TomlValue& block) {
  FinArray array;
  const TomlValue* run = entry(block, "fins_run");
  const bool along = run != nullptr && run->text == "along";
  array.kind = along ? FinKind::along : FinKind::across;
  array.count = count_at(block, "fins");
  array.thickness = length_at(block, "fin_thickness_mm");
  array.height = length_at(block, "fin_height_mm");
  array.length = along ? length_at(block, "base_length_mm") : 0.0;
  array.gap = length_at(block, "fin_gap_mm");
  array.outer = array.count * array.thickness + (array.count - 1) * array.gap;
  if (array.gap == 0.0) {
    array.outer = length_at(block, along ? "depth_mm" : "base_length_mm");
    return with_count(array, array.count);
  }
  return array;
}

FinArray stack_array(const TomlValue& stack) {
  FinArray array;
  array.kind = FinKind::plates;
  array.count = count_at(stack, "plates");
  array.thickness = length_at(stack, "plate_thickness_mm");
  array.gap = length_at(stack, "plate_gap_mm");
  array.length = length_at(stack, "plate_length_mm");
  const double first = length_at(stack, "first_gap_mm");
  array.first_gap = first == array.gap ? 0.0 : first;
  array.outer = array.count * array.thickness + (array.count - 1) * array.gap +
                (array.first_gap > 0.0 ? array.first_gap : array.gap);
  return array;
}

/// Gaps of the common width.
int n_gaps(const FinArray& array, int count) {
  return array.kind == FinKind::plates && array.first_gap == 0.0 ? count : count - 1;
}

double mm(double length) {
  return std::round(1e9 * length) / 1e6; // to the nanometre
}

} // namespace

FinArray fin_array(const Case& the_case) {
  const TomlValue root = parse_toml(the_case.text, the_case.file);
  if (const TomlValue* block = entry(root, "block")) {
    return block_array(*block);
  }
  if (const TomlValue* stack = entry(root, "stack")) {
    return stack_array(*stack);
  }
  if (const TomlValue* ring = entry(root, "ring")) {
    refuse_at(the_case.file, ring->line, "ring", "a cooler whose gap grows from its axis",
              "[block] or [stack], which have one gap; give [ring] other numbers of fins and solve "
              "each");
  }
  const TomlValue* section = entry(root, "section");
  refuse_at(the_case.file, section == nullptr ? 1 : section->line, "section",
            "a section drawn solid by solid", "[block] or [stack], which say what is a fin");
}

FinArray with_count(FinArray array, int count) {
  array.count = count;
  array.gap =
      (array.outer - array.first_gap - count * array.thickness) / std::max(1, n_gaps(array, count));
  return array;
}

CountRange counts_for_gaps(const FinArray& array, double low, double high) {
  // n thicknesses and n - extra gaps (extra 1, or 0 with the first gap of plates like the others)
  const int extra = 1 - n_gaps(array, 1);
  const auto n_for = [&](double gap) {
    return (array.outer - array.first_gap + extra * gap) / (array.thickness + gap);
  };
  CountRange range;
  range.fewest = std::max(1 + extra, static_cast<int>(std::ceil(n_for(high) - rounding)));
  range.most = std::min(static_cast<int>(std::floor(n_for(low) + rounding)),
                        array.kind == FinKind::plates ? most_plates : most_fins);
  return range;
}

Case with_fins(const Case& the_case, const FinArray& array) {
  TomlValue root = parse_toml(the_case.text, the_case.file);
  if (array.kind == FinKind::plates) {
    TomlValue& stack = *entry(root, "stack");
    set_number(stack, "plates", array.count);
    set_number(stack, "plate_thickness_mm", mm(array.thickness));
    set_number(stack, "plate_gap_mm", mm(array.gap));
    if (array.first_gap == 0.0) {
      remove_entry(stack, "first_gap_mm");
    }
  } else {
    TomlValue& block = *entry(root, "block");
    set_number(block, "fins", array.count);
    set_number(block, "fin_thickness_mm", mm(array.thickness));
    set_number(block, "fin_height_mm", mm(array.height));
    remove_entry(block, "fin_gap_mm");
    set_number(block, array.kind == FinKind::along ? "depth_mm" : "base_length_mm",
               mm(array.outer));
  }
  return case_from_tree(root, the_case.file);
}

Case with_power(const Case& the_case, double power_w) {
  if (std::ranges::find(the_case.powers, power_w) != the_case.powers.end()) {
    return the_case;
  }
  TomlValue root = parse_toml(the_case.text, the_case.file);
  TomlValue& powers = *entry(*entry(root, "conditions"), "powers_w");
  TomlValue power = powers.items.front();
  power.number = power_w;
  power.is_whole = false;
  powers.items.push_back(power);
  return case_from_tree(root, the_case.file);
}

std::string layout_name(const FinArray& array) {
  std::string name =
      fmt::format("{}-{}_thickness-{}", array.kind == FinKind::plates ? "plates" : "fins",
                  array.count, mm(array.thickness));
  return array.kind == FinKind::plates ? name : name + fmt::format("_height-{}", mm(array.height));
}

} // namespace tiltfin
