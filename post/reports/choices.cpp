#include "post/reports/choices.hpp"

#include "post/fits/groups.hpp"
#include "post/reports/table_parts.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <functional>
#include <iterator>
#include <vector>

namespace tiltfin {
namespace {

/// "flat-up: 47 % less power than upright".
std::string turning_sentence(const TurnedLimit& limit, const TurnedLimit& reference) {
  const double change = 100.0 * (limit.power_w / reference.power_w - 1.0);
  if (!std::isfinite(change)) {
    return fmt::format("{}: no power limit to compare with {}", limit.orientation,
                       reference.orientation);
  }
  if (std::abs(change) < 0.5) {
    return fmt::format("{}: the same power as {}", limit.orientation, reference.orientation);
  }
  return fmt::format("{}: {:.0f} % {} power than {}", limit.orientation, std::abs(change),
                     change < 0.0 ? "less" : "more", reference.orientation);
}

/// Trends of one panel state with all its finishes, best limit first.
using TrendGroup = std::vector<const TrendRow*>;

/// Of a row that has a finish.
std::string panel_without_finish(const TrendRow& row) {
  return row.panel.substr(0, row.panel.size() - row.finish.size() - 1);
}

/// What one choice is worth while the other stays: best over worst power limit.
struct Worth {
  std::string fixed; ///< orientation (or finish) that stays
  std::string best;  ///< finish (or orientation) with the highest limit
  std::string worst;
  double factor = 1.0;
};

/// `fixed` and `varied` name the two choices of a row.
std::vector<Worth> worths(const std::vector<TrendRow>& rows, std::string TrendRow::*fixed,
                          std::string TrendRow::*varied) {
  std::vector<Worth> result;
  for (const TrendGroup& group : groups_by(rows, std::mem_fn(fixed))) {
    const TrendRow& best = *group.front();
    const TrendRow& worst = *group.back();
    result.push_back({best.*fixed, best.*varied, worst.*varied,
                      best.limit.power_w.value / worst.limit.power_w.value});
  }
  return result;
}

/// "bare: 67 % more power upright than flat-up" of each that makes a difference.
std::vector<std::string> worth_sentences(const std::vector<Worth>& worths, const char* with) {
  std::vector<std::string> sentences;
  for (const Worth& worth : worths) {
    if (worth.best != worth.worst) {
      sentences.push_back(fmt::format("{}: {:.0f} % more power {}{} than {}{}", worth.fixed,
                                      100.0 * (worth.factor - 1.0), with, worth.best, with,
                                      worth.worst));
    }
  }
  return sentences;
}

/// Which of two choices moves the power limit more, whatever the other one is.
std::string verdict(const std::vector<Worth>& finish, const std::vector<Worth>& turning) {
  const auto less = [](const Worth& a, const Worth& b) { return a.factor < b.factor; };
  const auto [least_finish, most_finish] = std::minmax_element(finish.begin(), finish.end(), less);
  const auto [least_turn, most_turn] = std::minmax_element(turning.begin(), turning.end(), less);
  if (least_finish->factor > most_turn->factor) {
    return "The finish is worth more than the orientation.";
  }
  if (most_finish->factor < least_turn->factor) {
    return "The orientation is worth more than the finish.";
  }
  return "Neither the finish nor the orientation always outweighs the other.";
}

} // namespace

std::string turning_costs(std::span<const TurnedLimit> limits) {
  std::string text;
  for (const auto& group : groups_by(limits, std::mem_fn(&TurnedLimit::panel))) {
    const auto upright = std::ranges::find(group, "upright", &TurnedLimit::orientation);
    const TurnedLimit* reference = upright == group.end() ? group.front() : *upright;
    std::vector<std::string> parts;
    for (const TurnedLimit* other : group) {
      if (other != reference) {
        parts.push_back(turning_sentence(*other, *reference));
      }
    }
    if (!parts.empty()) {
      text += wrapped("  ", fmt::format("{}, {}.", reference->panel, fmt::join(parts, "; ")), 4);
    }
  }
  return text.empty() ? text : "What turning costs\n" + text + "\n";
}

std::string finish_worth(std::span<const TrendRow> trends) {
  std::vector<TrendRow> finished; // those with a limit
  std::ranges::copy_if(trends, std::back_inserter(finished), [](const TrendRow& row) {
    return !row.finish.empty() && row.limit.power_w.value > 0.0;
  });
  std::string text;
  for (const TrendGroup& group : groups_by(finished, panel_without_finish)) {
    std::vector<TrendRow> own;
    for (const TrendRow* row : group) {
      own.push_back(*row);
    }
    const std::vector<Worth> by_finish = worths(own, &TrendRow::orientation, &TrendRow::finish);
    const std::vector<Worth> by_turning = worths(own, &TrendRow::finish, &TrendRow::orientation);
    const std::vector<std::string> parts = worth_sentences(by_finish, "with ");
    const std::vector<std::string> turns = worth_sentences(by_turning, "");
    if (parts.empty()) {
      continue;
    }
    text += wrapped(
        "  ", fmt::format("{}, {}.", panel_without_finish(own.front()), fmt::join(parts, "; ")), 4);
    if (!turns.empty()) {
      text += wrapped("    ",
                      fmt::format("Against turning: {}. {}", fmt::join(turns, "; "),
                                  verdict(by_finish, by_turning)),
                      4);
    }
  }
  return text.empty() ? text : "What the finish is worth\n" + text + "\n";
}

} // namespace tiltfin
