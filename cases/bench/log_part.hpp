#pragma once
// A part of a log as it is written on the command line.

#include "cases/file/bench_case.hpp"

#include <string>

namespace tiltfin {

/// "0:120=10": from minute 0 to 120 at 10 W, as a table of the key `parts` says it. FROM, TO and
/// "=WATTS" may be left out: the beginning, the end, the power of the log. Throws InputError.
[[nodiscard]] BenchSoak part_of_log(const std::string& text, BenchSoak log);

} // namespace tiltfin
