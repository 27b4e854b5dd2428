#pragma once
// Whether a log can be the soak that it is said to be.

#include "cases/file/bench_case.hpp"
#include "post/reports/bench_report.hpp"

#include <span>
#include <string>

namespace tiltfin {

/// Throws InputError where the row cannot be true: a core colder than its room, times that were
/// taken for seconds and are none, samples too far apart for a soak. A rise that cannot be told
/// from none is left out with a warning, and so is a log half of whose minutes are empty, kept.
void check_soak(const BenchSoak& soak, const LogCounts& counts, BenchRow& row);

/// Throws InputError where a whole log at one power looks like several soaks (new_starts), with
/// what to give instead.
void check_is_one_soak(const BenchSoak& soak, std::span<const SoakMean> means);

/// What to say of a column of power that does not hold still; "" when it does. `is_first`: no other
/// words stand before these.
[[nodiscard]] std::string power_warning(std::span<const SoakMean> means, bool is_first);

} // namespace tiltfin
