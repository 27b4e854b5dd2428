#include "post/reports/choices.hpp"

#include "post/reports/table_parts.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <vector>

namespace tiltfin {
namespace {

/// "flat-up: 47 % less power than upright".
std::string turning_sentence(const TrendRow& row, const TrendRow& reference) {
  const double change = 100.0 * (row.limit.power_w / reference.limit.power_w - 1.0);
  if (!std::isfinite(change)) {
    return fmt::format("{}: no power limit to compare with {}", row.orientation,
                       reference.orientation);
  }
  if (std::abs(change) < 0.5) {
    return fmt::format("{}: the same power as {}", row.orientation, reference.orientation);
  }
  return fmt::format("{}: {:.0f} % {} power than {}", row.orientation, std::abs(change),
                     change < 0.0 ? "less" : "more", reference.orientation);
}

/// The trends of one panel state with all its finishes.
struct Finishes {
  std::string panel; ///< without a finish
  std::vector<const TrendRow*> rows;
};

std::vector<Finishes> compared_finishes(std::span<const TrendRow> trends) {
  std::vector<Finishes> all;
  for (const TrendRow& row : trends) {
    if (row.finish.empty() || !(row.limit.power_w > 0.0)) {
      continue;
    }
    const std::string panel = row.panel.substr(0, row.panel.size() - row.finish.size() - 1);
    auto own = std::find_if(all.begin(), all.end(),
                            [&](const Finishes& other) { return other.panel == panel; });
    if (own == all.end()) {
      all.push_back({panel, {}});
      own = all.end() - 1;
    }
    own->rows.push_back(&row);
  }
  return all;
}

/// What one choice is worth while the other stays: best over worst power limit.
struct Worth {
  std::string fixed; ///< orientation (or finish) that stays
  std::string best;  ///< finish (or orientation) with the highest limit
  std::string worst;
  double factor = 1.0;
};

/// `fixed` and `varied` name the two choices of a row.
template <class Fixed, class Varied>
std::vector<Worth> worths(const std::vector<const TrendRow*>& rows, Fixed fixed, Varied varied) {
  std::vector<Worth> result;
  for (const TrendRow* row : rows) { // best limit first
    const auto own = std::find_if(result.begin(), result.end(),
                                  [&](const Worth& worth) { return worth.fixed == fixed(*row); });
    if (own == result.end()) {
      result.push_back({fixed(*row), varied(*row), varied(*row), row->limit.power_w});
    } else {
      own->worst = varied(*row);
    }
  }
  for (Worth& worth : result) {
    const auto worst = std::find_if(rows.begin(), rows.end(), [&](const TrendRow* row) {
      return fixed(*row) == worth.fixed && varied(*row) == worth.worst;
    });
    worth.factor /= (*worst)->limit.power_w;
  }
  return result;
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

std::string turning_costs(std::span<const TrendRow> trends) {
  std::string text;
  std::vector<std::string> panels;
  for (const TrendRow& row : trends) {
    if (std::find(panels.begin(), panels.end(), row.panel) != panels.end()) {
      continue;
    }
    panels.push_back(row.panel);
    const auto is_upright = [&](const TrendRow& other) {
      return other.panel == row.panel && other.orientation == "upright";
    };
    const auto upright = std::find_if(trends.begin(), trends.end(), is_upright);
    const TrendRow& reference = upright == trends.end() ? row : *upright;
    std::vector<std::string> parts;
    for (const TrendRow& other : trends) {
      if (other.panel == row.panel && &other != &reference) {
        parts.push_back(turning_sentence(other, reference));
      }
    }
    if (!parts.empty()) {
      text += wrapped("  ", fmt::format("{}, {}.", row.panel, fmt::join(parts, "; ")), 4);
    }
  }
  return text.empty() ? text : "What turning costs\n" + text + "\n";
}

std::string finish_worth(std::span<const TrendRow> trends) {
  std::string text;
  for (const Finishes& own : compared_finishes(trends)) {
    const auto finish = [](const TrendRow& row) { return row.finish; };
    const auto orientation = [](const TrendRow& row) { return row.orientation; };
    const std::vector<Worth> by_finish = worths(own.rows, orientation, finish);
    const std::vector<Worth> by_turning = worths(own.rows, finish, orientation);
    std::vector<std::string> parts;
    for (const Worth& worth : by_finish) {
      if (worth.best != worth.worst) {
        parts.push_back(fmt::format("{}: {:.0f} % more power with {} than with {}", worth.fixed,
                                    100.0 * (worth.factor - 1.0), worth.best, worth.worst));
      }
    }
    std::vector<std::string> turns;
    for (const Worth& worth : by_turning) {
      if (worth.best != worth.worst) {
        turns.push_back(fmt::format("{}: {:.0f} % more power {} than {}", worth.fixed,
                                    100.0 * (worth.factor - 1.0), worth.best, worth.worst));
      }
    }
    if (parts.empty()) {
      continue;
    }
    text += wrapped("  ", fmt::format("{}, {}.", own.panel, fmt::join(parts, "; ")), 4);
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
