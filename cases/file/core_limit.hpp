#pragma once
// A case's limit of the core, as fits and reports take it.

#include "cases/file/case.hpp"
#include "mesh/section.hpp"
#include "post/fits/core_limit.hpp"

namespace tiltfin {

[[nodiscard]] inline CoreLimit core_limit(const Case& the_case) {
  return {.room_temperature_c = the_case.room_temperature - zero_celsius,
          .limit_temperature_c = the_case.limit_temperature - zero_celsius,
          .core_to_base_k_per_w = core_to_base(the_case)};
}

} // namespace tiltfin
