#include "cases/commands/command.hpp"

#include <array>

namespace tiltfin {

[[nodiscard]] CommandLine declare_new();
[[nodiscard]] CommandLine declare_check();
[[nodiscard]] CommandLine declare_solve();
[[nodiscard]] CommandLine declare_report();
[[nodiscard]] CommandLine declare_spacing();
[[nodiscard]] CommandLine declare_rank();
[[nodiscard]] CommandLine declare_animate();
[[nodiscard]] CommandLine declare_levers();
[[nodiscard]] CommandLine declare_bench();
[[nodiscard]] CommandLine declare_compare();
[[nodiscard]] CommandLine declare_keys();

std::span<const Command> commands() {
  static constexpr std::array<Command, 11> all{{
      {"new", "Write a case file to start from", declare_new},
      {"check", "Say what a case comes to; solve nothing", declare_check},
      {"solve", "Solve every condition of a case", declare_solve},
      {"report", "Make report.html of a results directory anew", declare_report},
      {"spacing", "Find the best gap between fins at fixed outer size, in every orientation",
       declare_spacing},
      {"rank", "Compare several coolers in the same conditions: power limits, metal, which to take",
       declare_rank},
      {"animate", "Draw how the air of a solved case moves: from cold, and where it sways",
       declare_animate},
      {"levers", "Say what would help: single changes of a case, ranked by watts gained",
       declare_levers},
      {"bench", "Reduce logs of soaks to rises, trends and power limits", declare_bench},
      {"compare", "Compare solved conditions with logs, calibrate on request", declare_compare},
      {"keys", "Say what every key of a case file means and may be", declare_keys},
  }};
  return all;
}

} // namespace tiltfin
