#pragma once
// Rows that belong together.

#include <algorithm>
#include <string>
#include <vector>

namespace tiltfin {

/// Panel state and orientation: what the powers of one trend have in common.
struct Placing {
  std::string panel;
  std::string orientation;

  [[nodiscard]] bool operator==(const Placing&) const = default;
};

/// Of any row that has both.
template <class Row>
[[nodiscard]] Placing placing_of(const Row& row) {
  return {row.panel, row.orientation};
}

/// Rows (of a span or vector, which must outlive the result) whose keys are equal, groups and rows
/// in the order in which they appear. No group is empty.
template <class Rows, class Key>
[[nodiscard]] auto groups_by(const Rows& rows, const Key& key) {
  std::vector<std::vector<const typename Rows::value_type*>> groups;
  for (const auto& row : rows) {
    const auto known = std::ranges::find_if(
        groups, [&](const auto& group) { return key(*group.front()) == key(row); });
    if (known == groups.end()) {
      groups.push_back({&row});
    } else {
      known->push_back(&row);
    }
  }
  return groups;
}

template <class Rows>
[[nodiscard]] auto groups_by_placing(const Rows& rows) {
  return groups_by(rows, [](const auto& row) { return placing_of(row); });
}

} // namespace tiltfin
