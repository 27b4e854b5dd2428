#pragma once
// In which keys two case files differ.

#include "cases/file/case.hpp"

#include <optional>
#include <string>
#include <vector>

namespace tiltfin {

struct KeyDifference {
  std::string key;   ///< "room.temperature_c", "room.surface[1].distance_mm"
  std::string first; ///< as people write it
  std::string second;
};

/// The first key of the conditions that power limits are compared in, [room], [limit], [air] and
/// [conditions], in which two cases differ; a key that is not given has its default, and the order
/// of lists does not count. limit.spreading_k_per_w belongs to the cooler and may differ, and so
/// may conditions.powers_w: a limit is best found from powers near it.
[[nodiscard]] std::optional<KeyDifference> differing_condition(const Case& first,
                                                               const Case& second);

/// Keys of a table or a list of tables in which two case files differ, defaults written out or not.
/// The items of such a list are compared one by one, as they stand; other lists as a whole.
[[nodiscard]] std::vector<KeyDifference> differing_keys(const Case& first, const Case& second,
                                                        const std::string& table);

} // namespace tiltfin
