#include "post/reports/rank_report.hpp"
#include "post/reports/table_parts.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace tiltfin {
namespace {

/// "in off, flat-down and ..." where another cooler than the first is clearly best.
std::string exceptions(const RankReport& report) {
  std::string text;
  for (std::size_t c = 0; c < report.columns.size(); ++c) {
    const std::optional<std::size_t> best = best_in(report, c);
    if (!best || *best == 0) {
      continue;
    }
    const RankedCooler& other = report.coolers[*best];
    const Estimate& highest = other.limits[c].power_w;
    const Estimate& own = report.coolers[0].limits[c].power_w;
    if (!is_too_close(own, highest)) {
      text += fmt::format(" But in {}, {} {} takes {:.0f} % more than it.", report.columns[c].panel,
                          report.columns[c].orientation, other.name,
                          100.0 * (highest.value / own.value - 1.0));
    }
  }
  return text;
}

/// What holds of the whole where some limits come from flows whose stability was skipped.
std::string quick_look(const RankReport& report) {
  const bool any = std::ranges::any_of(report.coolers, [](const RankedCooler& cooler) {
    return std::ranges::any_of(cooler.limits, &SolvedLimit::skips_stability);
  });
  return any ? " A quick look: stability was not examined everywhere." : "";
}

/// Coolers that cannot be told from the best, and the best of the others (null: none).
struct Rivals {
  std::vector<const RankedCooler*> close;
  const RankedCooler* next = nullptr;
};

Rivals rivals_of(const RankReport& report, const Estimate& best) {
  Rivals rivals;
  for (std::size_t k = 1; k < report.coolers.size(); ++k) {
    const Estimate other = weighted_limit(report, report.coolers[k]).power_w;
    if (!std::isfinite(other.value)) {
      continue;
    }
    if (is_too_close(best, other)) {
      rivals.close.push_back(&report.coolers[k]);
    } else if (rivals.next == nullptr) {
      rivals.next = &report.coolers[k];
    }
  }
  return rivals;
}

std::string close_text(const RankedCooler& first, const Estimate& best,
                       const std::vector<const RankedCooler*>& close) {
  const RankedCooler* lightest = &first;
  std::string text = "Too close to call: " + first.name;
  for (const RankedCooler* cooler : close) {
    text += " and " + cooler->name;
    lightest = cooler->mass_kg < lightest->mass_kg ? cooler : lightest;
  }
  text += fmt::format(" ({} W at best); their error bars overlap.", with_error(best));
  if (std::isfinite(lightest->mass_kg)) {
    text += fmt::format(" {} has the least metal of them, {} g.", lightest->name,
                        number_or_dash(1000.0 * lightest->mass_kg, 0));
  }
  return text + " Finer meshes (solve --accuracy) may part them.";
}

} // namespace

std::string recommendation(const RankReport& report) {
  const RankedCooler& first = report.coolers.front();
  const Estimate best = weighted_limit(report, first).power_w;
  if (!std::isfinite(best.value)) {
    return "No cooler has a power limit in every condition that counts: nothing to recommend.";
  }
  if (weighted_limit(report, first).standing == Standing::outside) {
    return fmt::format("Nothing to recommend: the highest limit, of {}, lies outside the model "
                       "(notes).",
                       first.name);
  }
  const Rivals rivals = rivals_of(report, best);
  const bool is_close = !rivals.close.empty();
  std::string text =
      is_close ? close_text(first, best, rivals.close)
               : fmt::format("Take {}: {} W in the weighted mean", first.name, with_error(best));
  if (rivals.next != nullptr) {
    const Estimate other = weighted_limit(report, *rivals.next).power_w;
    const double margin = 100.0 * (best.value / other.value - 1.0);
    const double uncertain = 100.0 * (best.error + other.error) / other.value;
    text += is_close
                ? fmt::format(" Against the next, {}, {:.0f} % more", rivals.next->name, margin)
                : fmt::format(", {:.0f} % more than {}", margin, rivals.next->name);
    text +=
        std::isfinite(uncertain)
            ? fmt::format(" (margin at least {:.0f} % within the error bars).", margin - uncertain)
            : std::string(" (an error bar is not known).");
  } else if (!is_close) {
    text += ", the only one with a limit in every condition that counts.";
  }
  return text + exceptions(report) + quick_look(report);
}

} // namespace tiltfin
