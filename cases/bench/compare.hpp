#pragma once
// Solved conditions of a results directory against bench logs.

#include "cases/bench/bench.hpp"
#include "post/reports/comparison_report.hpp"

#include <string>
#include <vector>

namespace tiltfin {

struct CompareArguments {
  std::string results; ///< directory that a solve has written
  LogArguments logs;
  std::vector<std::string> unknowns; ///< names to calibrate; empty: none
  std::vector<std::string> use;      ///< orientations to calibrate from; empty: all
};

/// Reads summary.json in the results and compares. Logs given without a panel state belong to that
/// of the results when there is only one. Throws InputError when the results cannot be read, when
/// no soak has a solved counterpart, when the results hold no condition of a log
/// (same_machine.hpp), for unknown names and for more than two unknowns. A calibration that the
/// data do not carry is refused in the report; the comparison itself stands.
[[nodiscard]] ComparisonReport compare_with_bench(const CompareArguments& arguments,
                                                  const BenchInput& input,
                                                  const BenchResult& bench);

} // namespace tiltfin
