#include "cases/choose/fin_array.hpp"

#include "cases/input/toml_text.hpp"

#include <algorithm>

namespace tiltfin {
namespace {

/// Takes the array of a cooler, or why there is none.
struct ArrayOf {
  const Case& the_case;

  FinArray operator()(const FinArray& array) const { return array; }

  FinArray operator()(const NoFinArray& none) const {
    const std::string table = table_of(the_case.cooler);
    refuse_at(the_case.file, entry(the_case.tree, table)->line, table, none.found, none.allowed);
  }
};

} // namespace

FinArray fin_array(const Case& the_case) {
  const ArrayOf array_of{the_case};
  return std::visit([&](const auto& cooler) { return array_of(fins_of(cooler)); }, the_case.cooler);
}

Case with_fins(const Case& the_case, const FinArray& array) {
  TomlValue root = the_case.tree;
  TomlValue& table = *entry(root, table_of(the_case.cooler));
  std::visit(
      [&](const auto& cooler) {
        if constexpr (requires { set_fins(cooler, table, array); }) { // those with an array
          set_fins(cooler, table, array);
        }
      },
      the_case.cooler);
  return case_from_tree(root, the_case.file);
}

Case with_power(const Case& the_case, double power_w) {
  if (std::ranges::find(the_case.powers, power_w) != the_case.powers.end()) {
    return the_case;
  }
  TomlValue root = the_case.tree;
  TomlValue& powers = *entry(*entry(root, "conditions"), "powers_w");
  TomlValue power = powers.items.front();
  power.number = power_w;
  power.is_whole = false;
  powers.items.push_back(power);
  return case_from_tree(root, the_case.file);
}

} // namespace tiltfin
