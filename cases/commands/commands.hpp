#pragma once
// What the commands do once their arguments are known: run, write, print, exit code.

#include "cases/bench/bench.hpp"
#include "cases/bench/compare.hpp"
#include "cases/choose/rank.hpp"
#include "cases/choose/spacing.hpp"
#include "cases/commands/terminal.hpp"
#include "cases/run/accuracy.hpp"

#include <string>
#include <vector>

namespace tiltfin {

enum ExitCode {
  fine = 0,
  cannot_write = 1,
  bad_input = 2, ///< or a request that the input cannot meet
  not_converged = 3,
  interrupted = interrupted_code
};

struct CheckArguments {
  std::string case_file;
  std::string drawing; ///< empty: named after the case, here
  bool no_drawing = false;
};

struct SolveArguments {
  std::string case_file;
  std::string directory;
  int jobs = 0;
  std::vector<std::string> only;
  std::string start;
  bool resume = false;
  bool skip_stability = false;
  std::string accuracy;
  int max_cells = AccuracyWish{}.max_cells;
};

struct BenchArguments {
  LogArguments logs;
  std::string directory;
};

struct SpacingCommand {
  std::string case_file;
  SpacingOptions options; ///< all but directory and stop
  std::string directory;
};

struct RankCommand {
  RankOptions options; ///< all but directory and stop
  std::string directory;
};

struct CompareCommand {
  CompareArguments what;
  std::string directory;
};

[[nodiscard]] int run_check(const CheckArguments& arguments);
[[nodiscard]] int run_solve(const SolveArguments& arguments);
[[nodiscard]] int run_bench(const BenchArguments& arguments);
[[nodiscard]] int run_compare(const CompareCommand& command);
[[nodiscard]] int run_spacing(SpacingCommand command);
[[nodiscard]] int run_rank(RankCommand command);

} // namespace tiltfin
