#pragma once
// The [bench] table of a case file: which logs there are, and how to read and reduce them.

#include "cases/input/toml_reader.hpp"
#include "cases/logs/log_mapping.hpp"

#include <optional>
#include <string>
#include <vector>

namespace tiltfin {

/// One soak: a log, or a part of one, at one power, orientation and panel state.
struct BenchSoak {
  std::string file; ///< path as it can be opened
  std::string panel;
  std::string orientation;
  LogMapping mapping;
  bool is_part = false; ///< a stretch was asked for; else the whole log
};

struct Bench {
  bool fits_line = false;     ///< straight line instead of a power law
  bool is_at_base = false;    ///< temperatures are the base's, not the core's
  double drift_share = 0.005; ///< see SoakRule
  std::vector<BenchSoak> soaks;
};

[[nodiscard]] const KeyTable& bench_keys();

/// What is said of a log, in [bench] for all or in [[bench.log]]; and of a part of one.
[[nodiscard]] const KeyTable& mapping_keys();
[[nodiscard]] const KeyTable& part_of_log_keys();

/// Reads [bench] with its [[bench.log]]; none when it is not there. Throws InputError.
[[nodiscard]] std::optional<Bench> read_bench(const TomlTable& top,
                                              const std::vector<std::string>& panels);

} // namespace tiltfin
