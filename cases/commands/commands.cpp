#include "cases/commands/command.hpp"
#include "cases/input/number_text.hpp"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <array>
#include <stdexcept>

namespace tiltfin {
namespace {

template <class... Targets>
bool is_one_of(const OptionTarget& target) {
  return (std::holds_alternative<Targets>(target) || ...);
}

} // namespace

std::string fault_in_word(const Option& option, const std::string& word) {
  if (is_one_of<int*, double*, std::optional<double>*, std::vector<double>*>(option.target)) {
    if (!option.rule.bounds) {
      throw std::logic_error("the number " + option.name + " has no bounds");
    }
    const std::string fault = fault_in_number(word, *option.rule.bounds);
    const bool is_spelt_out = word.find_first_not_of("+0123456789") == std::string::npos;
    return fault.empty() && is_one_of<int*>(option.target) && !is_spelt_out
               ? fmt::format("found '{}', allowed {} in digits", word,
                             in_words(*option.rule.bounds))
               : fault;
  }
  const bool is_text = is_one_of<std::string*, std::vector<std::string>*>(option.target);
  if (is_text && word.empty()) {
    return "found an empty text, allowed one that is not empty";
  }
  const std::vector<std::string>& members = option.rule.members;
  const bool is_known = members.empty() || std::ranges::find(members, word) != members.end();
  return is_known ? "" : fmt::format("found '{}', allowed {}", word, fmt::join(members, ", "));
}

std::string allowed_by(const Option& option) {
  if (option.rule.bounds) {
    return in_words(*option.rule.bounds);
  }
  return option.rule.members.empty() ? "a text that is not empty"
                                     : fmt::format("{}", fmt::join(option.rule.members, ", "));
}

[[nodiscard]] CommandLine declare_new();
[[nodiscard]] CommandLine declare_check();
[[nodiscard]] CommandLine declare_solve();
[[nodiscard]] CommandLine declare_report();
[[nodiscard]] CommandLine declare_spacing();
[[nodiscard]] CommandLine declare_rank();
[[nodiscard]] CommandLine declare_animate();
[[nodiscard]] CommandLine declare_levers();
[[nodiscard]] CommandLine declare_ends();
[[nodiscard]] CommandLine declare_study();
[[nodiscard]] CommandLine declare_merge();
[[nodiscard]] CommandLine declare_bench();
[[nodiscard]] CommandLine declare_compare();
[[nodiscard]] CommandLine declare_keys();
[[nodiscard]] CommandLine declare_schema();
[[nodiscard]] CommandLine declare_completion();

std::span<const Command> commands() {
  static constexpr std::array<Command, 16> all{{
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
      {"ends", "Say what air through the ends of a bundle would bring, lying flat", declare_ends},
      {"study", "Solve a case with keys that vary: every combination, whole or in shares",
       declare_study},
      {"merge", "Make one of the shares of a study or a case", declare_merge},
      {"bench", "Reduce logs of soaks to rises, trends and power limits", declare_bench},
      {"compare", "Compare solved conditions with logs, calibrate on request", declare_compare},
      {"keys", "Say what every key of a case file means and may be", declare_keys},
      {"schema", "Print the JSON schema of a case file or of summary.json", declare_schema},
      {"completion", "Print what a shell needs to complete command lines", declare_completion},
  }};
  return all;
}

} // namespace tiltfin
