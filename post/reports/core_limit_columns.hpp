#pragma once
// The keys of a core's limit in JSON files.

#include "post/fits/core_limit.hpp"
#include "post/text/columns.hpp"

namespace tiltfin {

template <RowOf<CoreLimit> Row, class Visit>
void visit_members(Row& core, const Visit& visit) {
  visit("room_temperature_c", core.room_temperature_c);
  visit("limit_temperature_c", core.limit_temperature_c);
  visit("core_to_base_k_per_w", core.core_to_base_k_per_w);
}

} // namespace tiltfin
