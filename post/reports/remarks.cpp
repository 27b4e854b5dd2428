#include "post/reports/remarks.hpp"

#include "post/reports/table_parts.hpp"
#include "post/text/columns.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <vector>

namespace tiltfin {
namespace {

/// Warnings that differ only in their numbers are of one kind.
std::string kind_of(std::string warning) {
  for (char& c : warning) {
    if (c >= '0' && c <= '9') {
      c = '0';
    }
  }
  return warning;
}

} // namespace

std::string worst_balances(std::span<const Outcome> outcomes) {
  double heat = 0.0;
  double mass = 0.0;
  for (const Outcome& outcome : outcomes) {
    heat = std::max(heat, outcome.balance_error);
    mass = std::max(mass, outcome.mass_error);
  }
  return fmt::format("Worst balance of all {} conditions: heat {:.1e}, mass {:.1e} (relative)\n",
                     outcomes.size(), heat, mass);
}

std::string second_flows(std::span<const Outcome> outcomes) {
  int searched = 0;
  std::string found;
  for (const Outcome& outcome : outcomes) {
    const SecondFlow& second = outcome.second;
    searched += second.search == SecondSearch::not_made ? 0 : 1;
    if (second.search == SecondSearch::found) {
      found += wrapped("  ",
                       fmt::format("{}, {}, {} W: rise {} K ({}, {}) besides {} K ({}, {})",
                                   outcome.panel, outcome.orientation, outcome.power_w,
                                   number_or_dash(second.rise_k, 2), name_or_nothing(second.status),
                                   name_or_nothing(second.stability),
                                   number_or_dash(outcome.base_rise_mean_k.value, 2),
                                   name(outcome.status), name(outcome.stability.state)),
                       4);
    }
  }
  if (searched == 0) {
    return "";
  }
  return fmt::format("\nOther flows, looked for in {} conditions\n", searched) +
         (found.empty() ? "  none found\n" : found);
}

std::string warning_list(std::span<const Outcome> outcomes) {
  struct Kind {
    std::string text;
    std::string warning;
    const Outcome* outcome;
    int n;
  };
  std::vector<Kind> kinds;
  for (const Outcome& outcome : outcomes) {
    for (const std::string& warning : outcome.warnings) {
      const std::string text = kind_of(warning);
      const auto known = std::find_if(kinds.begin(), kinds.end(),
                                      [&](const Kind& kind) { return kind.text == text; });
      if (known == kinds.end()) {
        kinds.push_back({text, warning, &outcome, 1});
        continue;
      }
      ++known->n;
      if (outcome.power_w > known->outcome->power_w) {
        known->outcome = &outcome;
        known->warning = warning;
      }
    }
  }
  std::string text;
  for (const Kind& kind : kinds) {
    std::string more;
    if (kind.n > 1) {
      more = fmt::format(" (and {} more)", kind.n - 1);
    }
    text +=
        wrapped("  ",
                fmt::format("{}, {}, {} W{}: {}", kind.outcome->panel, kind.outcome->orientation,
                            kind.outcome->power_w, more, kind.warning),
                4);
  }
  return text.empty() ? text : "\nWarnings\n" + text;
}

} // namespace tiltfin
