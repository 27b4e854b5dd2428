#include "post/reports/remarks.hpp"

#include "post/fits/groups.hpp"
#include "post/reports/table_parts.hpp"
#include "post/text/columns.hpp"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <iterator>
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

std::string expansion_remark(std::span<const Outcome> outcomes) {
  std::vector<Outcome> beyond;
  std::ranges::copy_if(outcomes, std::back_inserter(beyond), [](const Outcome& outcome) {
    return outcome.expansion_number > largest_expansion_number;
  });
  if (beyond.empty()) {
    return "";
  }
  constexpr std::size_t most_named = 8;
  const auto groups = groups_by_placing(beyond);
  std::vector<std::string> rows;
  double highest = 0.0;
  for (const auto& group : groups) {
    const auto lowest = std::ranges::min_element(group, {}, &Outcome::power_w);
    rows.push_back(fmt::format("{}, {} from {:g} W", (*lowest)->panel, (*lowest)->orientation,
                               (*lowest)->power_w));
  }
  for (const Outcome& outcome : beyond) {
    highest = std::max(highest, outcome.expansion_number);
  }
  if (rows.size() > most_named) {
    rows = {fmt::format("in {} of its rows", rows.size())};
  }
  return "\nBeyond the accepted range of the Boussinesq approximation\n" +
         wrapped("  ",
                 fmt::format("{} of {} conditions, with expansion numbers (beta times the largest "
                             "rise) above {:g}, about 31 K, up to {:.2f}: {}.",
                             beyond.size(), outcomes.size(), largest_expansion_number, highest,
                             fmt::join(rows, "; ")),
                 4) +
         wrapped("  ",
                 "What it does: in a published closed cavity at 1.2 the mean heat transfer is off "
                 "by -0.3 to +1.8 %, so expect rises off by tenths of a per cent at 0.2 to 0.3 "
                 "(validation/README.md). That air flowing into an open room behaves alike "
                 "was not compared.",
                 4);
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
      if (warning.starts_with(expansion_warning)) {
        continue; // has its own paragraph
      }
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
