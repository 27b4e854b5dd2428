#include "cases/geometry/room.hpp"

#include "cases/geometry/cooler.hpp"
#include "cases/geometry/surroundings.hpp"

namespace tiltfin {

const KeyTable& room_keys() {
  static const KeyTable keys{
      {.name = "temperature_c",
       .bounds = between(-70.0, 250.0), // at which the air tables still reach well above the room
       .fallback = 25.0,
       .meaning = "of the room's air"},
      {.name = "margin_mm",
       .bounds = length_of_zero_or_more(),
       .fallback = 0.0,
       .meaning = "of room air meshed round the case; 0: the case's walls are the sides"},
      {.name = "calm_factor",
       .bounds = between(1.0, 1000.0),
       .fallback = CalmRoom{}.factor,
       .meaning = "how much more viscous and conducting the room's air grows; 1: not at all"},
      {.name = "calm_start_mm",
       .bounds = length_of_zero_or_more(),
       .fallback = 1e3 * CalmRoom{}.start,
       .meaning = "distance from the machine at which that begins"},
      {.name = "calm_width_mm",
       .bounds = length_above_zero(),
       .fallback = 1e3 * CalmRoom{}.width,
       .meaning = "distance over which it grows"},
      {.name = "surface",
       .without = "none",
       .table = &surface_keys(),
       .is_list = true,
       .meaning = "a surface of the room near the case"}};
  return keys;
}

Room read_room(const TomlTable& table, bool in_case) {
  Room room;
  room.temperature = temperature(table, "temperature_c");
  if (in_case) {
    room.margin = length(table, "margin_mm");
  } else if (find(table, "margin_mm") != nullptr) {
    refuse(table, "margin_mm", "a margin for a drawn section",
           "only with " + cooler_tables_in_words() +
               "; draw the room and give section.machine_x_mm and _y_mm");
  }
  if (room.margin == 0.0 && find(table, "surface") != nullptr) {
    refuse(table, "surface", "a surface of a room that is not meshed",
           "only with room.margin_mm above 0");
  }
  return room;
}

CalmRoom read_calm(const TomlTable& table, bool has_machine) {
  CalmRoom calm;
  if (!has_machine) {
    for (const char* key : {"calm_factor", "calm_start_mm", "calm_width_mm"}) {
      if (find(table, key) != nullptr) {
        refuse(table, key, "a key for a room that is not meshed",
               "only with room.margin_mm above 0 or section.machine_x_mm and _y_mm");
      }
    }
    return calm;
  }
  calm.factor = number(table, "calm_factor");
  calm.start = length(table, "calm_start_mm");
  calm.width = length(table, "calm_width_mm");
  return calm;
}

} // namespace tiltfin
