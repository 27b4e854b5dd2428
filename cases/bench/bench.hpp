#pragma once
// From bench logs to rows and trends.

#include "cases/file/bench_case.hpp"
#include "cases/logs/bench_log.hpp"
#include "post/reports/bench_report.hpp"

#include <optional>
#include <string>
#include <vector>

namespace tiltfin {

/// What the command line says about logs that are given one by one.
struct LogArguments {
  std::vector<std::string> logs; ///< a case file (.toml) with [bench], or logs
  std::vector<std::string> time;
  std::string time_unit;
  std::vector<std::string> temperatures;
  bool hottest = false;
  std::string ambient;
  std::string ambient_file;
  std::vector<std::string> ambient_time;
  std::optional<double> ambient_c;
  std::string power;
  std::vector<double> powers_w;          ///< one for all, or one per log
  std::vector<std::string> orientations; ///< the same; names, or tilts in degrees
  std::vector<std::string> panels;       ///< the same
  std::vector<std::string> parts;        ///< of the only log: "FROM:TO=WATTS", see log_part.hpp
  double room_c = 25.0;
  double limit_c = 100.0;
  double core_to_base_k_per_w = 0.0;
  bool is_at_base = false;
  bool fits_line = false;
};

struct BenchInput {
  Bench bench;
  BenchContext context;
};

/// The soaks of a case file, or of the arguments. Throws InputError.
[[nodiscard]] BenchInput bench_input(const LogArguments& arguments);

struct BenchResult {
  std::vector<BenchRow> rows;
  std::vector<BenchTrend> trends;
  std::vector<BadRow> bad_rows; ///< the first ten of every file
};

/// Reads and reduces every soak; a whole log with a column of power gives one for each of its steps
/// of power. Throws InputError, also where a log cannot be the soak that it is said to be: a core
/// colder than its room, times that are no seconds, several soaks at one power.
[[nodiscard]] BenchResult reduce_bench(const BenchInput& input);

/// The bad rows with file and line, then how many each file has; empty without any.
[[nodiscard]] std::string bad_row_list(const BenchResult& result);

} // namespace tiltfin
