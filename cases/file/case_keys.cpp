#include "cases/file/case_keys.hpp"

#include "cases/file/air_table.hpp"
#include "cases/file/bench_case.hpp"
#include "cases/file/conditions.hpp"
#include "cases/file/limit.hpp"
#include "cases/file/making_limits.hpp"
#include "cases/file/mesh_table.hpp"
#include "cases/geometry/geometry.hpp"

namespace tiltfin {

const KeyTable& case_keys() {
  static const KeyTable keys = joined(
      joined({{.name = "title",
               .allowed = "a text",
               .without = "the file's name",
               .meaning = "for reports"},
              {.name = "room", .table = &room_keys(), .meaning = "the air outside the case"},
              {.name = "limit", .table = &limit_keys(), .meaning = "how hot the chip may get"},
              {.name = "conditions",
               .table = &conditions_keys(),
               .meaning = "powers, orientations and panel states that are solved"}},
             geometry_tables()),
      {{.name = "air", .table = &air_keys(), .meaning = "gravity and properties of air"},
       {.name = "mesh", .table = &mesh_keys(), .meaning = "sizes of cells"},
       {.name = "bench", .table = &bench_keys(), .meaning = "measured logs"},
       {.name = "part",
        .table = &part_keys(),
        .is_list = true,
        .meaning = "another thing in the case"},
       {.name = "spacing", .table = &spacing_keys(), .meaning = "what can be made"}});
  return keys;
}

} // namespace tiltfin
