#pragma once
// Names that count up, told together: "plate-1 to plate-7", "plates".

#include <cstddef>
#include <string>
#include <vector>

namespace tiltfin {

struct NameGroup {
  std::string first;                ///< its first name
  std::string last;                 ///< its last one
  std::vector<std::size_t> members; ///< their numbers among the names

  /// "plate-1", or "plate-1 to plate-7" of several.
  [[nodiscard]] std::string range() const;

  /// "plates", of several.
  [[nodiscard]] std::string plural() const;
};

/// Three or more names that count up are a group, even with others between them; all others are one
/// by one, in their order.
[[nodiscard]] std::vector<NameGroup> grouped_names(const std::vector<std::string>& names);

} // namespace tiltfin
