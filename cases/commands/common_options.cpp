#include "cases/commands/common_options.hpp"

#include "cases/file/bench_case.hpp"
#include "cases/file/limit.hpp"
#include "cases/geometry/room.hpp"
#include "post/text/printable.hpp"

#include <cstdio>

namespace tiltfin {

Option weights_option(std::vector<std::string>& weights) {
  return {"--weights", &weights,
          "How much orientations count together, such as upright=3 flat-up=1 (default: all alike)"};
}

Option jobs_option(int& jobs, const std::string& help) {
  return {"--jobs", &jobs, help, {.bounds = whole(1, 4096)}};
}

std::vector<Option> log_options(LogArguments& logs) {
  const std::string alone = "Logs without a case file";
  const OptionRule plain{.group = alone};
  const OptionRule one_or_two{.count = {{1, 2}}, .group = alone};
  return {
      {"logs", &logs.logs, "A case file (TOML) with [bench], or logs (CSV)", {.is_needed = true}},
      {"--time", &logs.time, "Column of the time, or of date and time (default: 1)", one_or_two},
      {"--time-unit",
       &logs.time_unit,
       "Default: as the log shows",
       {.members = {"s", "min", "h", "ms", "stamp"}, .group = alone}},
      {"--temperature", &logs.temperatures, "Columns of the core's temperatures, degrees Celsius",
       plain},
      {"--hottest", &logs.hottest, "Take the hottest of them, not their mean", plain},
      {"--at-base", &logs.is_at_base, "The base was measured, not the core", plain},
      {"--ambient", &logs.ambient, "Column of the room's temperature", plain},
      {"--ambient-file", &logs.ambient_file, "Second log that holds it", plain},
      {"--ambient-time", &logs.ambient_time, "Its column of the time (default: 1)", one_or_two},
      {"--ambient-c",
       &logs.ambient_c,
       "The room's temperature, if constant",
       {.bounds = bounds_of(mapping_keys(), "ambient_c"), .group = alone}},
      {"--power", &logs.power, "Column of the power, W", plain},
      {"--power-w",
       &logs.powers_w,
       "Power, one for all logs or one each",
       {.bounds = bounds_of(mapping_keys(), "power_w"), .group = alone}},
      {"--part", &logs.parts,
       "Part of the only log that is a soak, FROM:TO=WATTS in minutes and W such as 0:120=10; "
       "again for each",
       plain},
      {"--orientation", &logs.orientations,
       "Orientation, one for all logs or one each (default: upright)", plain},
      {"--panel", &logs.panels, "Panel state, one for all logs or one each", plain},
      {"--room-c",
       &logs.room_c,
       "Room for the power limit (default: 25)",
       {.bounds = bounds_of(room_keys(), "temperature_c"), .group = alone}},
      {"--limit-c",
       &logs.limit_c,
       "Limit of the core (default: 100)",
       {.bounds = bounds_of(limit_keys(), "temperature_c"), .group = alone}},
      {"--die-to-base",
       &logs.core_to_base_k_per_w,
       "Resistance, K/W, with --at-base",
       {.bounds = bounds_of(limit_keys(), "die_to_base_k_per_w"), .group = alone}},
      {"--line", &logs.fits_line, "Fit a straight line instead of a power law"}};
}

void print_text(const std::string& text) {
  std::fputs(printable(text).c_str(), stdout);
}

void print_error(const std::string& text) {
  std::fputs(printable(text).c_str(), stderr);
}

void print_line(const std::string& line) {
  print_error(line + "\n");
}

int say_interrupted() {
  print_error("interrupted: what is finished is kept, the same command goes on\n");
  return interrupted;
}

} // namespace tiltfin
