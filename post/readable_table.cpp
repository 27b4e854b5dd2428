#include "post/report.hpp"
#include "post/table_parts.hpp"
#include "solver/steady.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>

namespace tiltfin {
namespace {

constexpr int page_width = 100;
constexpr int powers_per_block = 5;

constexpr std::array<const char*, 4> cautions{
    "A cooler may be hot enough to burn long before it fails, and stays hot after switching off.",
    "Work on mains-powered equipment is for those licensed to do it; local codes apply.",
    "The chip maker's limits prevail over any power limit in this table.",
    "The section is plane and the air laminar; the documentation says what that leaves out. "
    "Measure "
    "before you rely on a number."};

/// Conditions of one panel state and orientation, powers as solved.
struct Group {
  std::string panel;
  std::string orientation;
  std::vector<const Outcome*> outcomes;
};

/// Groups in the order of the trends, then those that have no trend.
std::vector<Group> make_groups(std::span<const Outcome> outcomes,
                               std::span<const TrendRow> trends) {
  std::vector<Group> groups;
  for (const TrendRow& row : trends) {
    groups.push_back({row.panel, row.orientation, {}});
  }
  for (const Outcome& outcome : outcomes) {
    auto group = std::find_if(groups.begin(), groups.end(), [&](const Group& candidate) {
      return candidate.panel == outcome.panel && candidate.orientation == outcome.orientation;
    });
    if (group == groups.end()) {
      groups.push_back({outcome.panel, outcome.orientation, {}});
      group = groups.end() - 1;
    }
    group->outcomes.push_back(&outcome);
  }
  return groups;
}

/// Cuts long names so that rows keep to the page.
std::string shortened(const std::string& text, std::size_t width) {
  return text.size() <= width ? text : text.substr(0, width - 1) + "~";
}

} // namespace

/// First two columns of every table.
std::string row_head(const std::string& panel, const std::string& orientation) {
  return fmt::format("  {:<19} {:<13}", shortened(panel, 19), shortened(orientation, 13));
}

std::string short_cautions() {
  std::string text = "Cautions\n";
  for (const char* caution : {cautions[0], cautions[1], cautions[2]}) {
    text += wrapped("  ", caution, 4);
  }
  return text;
}

/// "41.3 ±0.5"; an error below a hundredth is shown as a hundredth.
std::string with_error(double value, double error) {
  if (!std::isfinite(value)) {
    return "-";
  }
  if (!std::isfinite(error)) {
    return fmt::format("{:.1f}", value);
  }
  return error >= 0.095 ? fmt::format("{:.1f} ±{:.1f}", value, error)
                        : fmt::format("{:.2f} ±{:.2f}", value, std::max(error, 0.01));
}

namespace {

std::string number_or_dash(double value, int decimals) {
  return std::isfinite(value) ? fmt::format("{:.{}f}", value, decimals) : "-";
}

/// The same with a fixed number of decimals; an error below the last of them is shown as one.
std::string with_decimals(double value, double error, int decimals) {
  if (!std::isfinite(value) || !std::isfinite(error)) {
    return number_or_dash(value, decimals);
  }
  return fmt::format("{:.{}f} ±{:.{}f}", value, decimals,
                     std::max(error, std::pow(10.0, -decimals)), decimals);
}

} // namespace

/// Words of `text` in lines of the page's width, each after `indent` blanks, the first after
/// `first`.
std::string wrapped(const std::string& first, const std::string& text, int indent) {
  std::string result;
  std::string line = first;
  std::size_t position = 0;
  bool line_has_words = false;
  while (position < text.size()) {
    const std::size_t end = std::min(text.find(' ', position), text.size());
    const std::string word = text.substr(position, end - position);
    if (line_has_words && static_cast<int>(line.size() + 1 + word.size()) > page_width) {
      result += line + "\n";
      line = std::string(indent, ' ');
      line_has_words = false;
    }
    line += (line_has_words ? " " : "") + word;
    line_has_words = true;
    position = end + 1;
  }
  return result + line + "\n";
}

namespace {

std::string limit_table(std::span<const TrendRow> trends) {
  std::string text = "Power limit, best first\n";
  text += fmt::format("  {:<19} {:<13} {:>15} {:>8}  {:<21}  {}\n", "panel", "orientation",
                      "limit, W", "of best", "exponent (95 %)", "status");
  bool any_extrapolated = false;
  for (const TrendRow& row : trends) {
    const std::string mark = row.limit.extrapolated ? "*" : " ";
    any_extrapolated = any_extrapolated || row.limit.extrapolated;
    const Trend& trend = row.trend;
    std::string exponent = "-";
    if (trend.n_points > 2) {
      exponent = fmt::format("{:.3f} ({:.2f} to {:.2f})", trend.exponent, trend.exponent_low,
                             trend.exponent_high);
    } else if (trend.n_points > 1) {
      exponent = fmt::format("{:.3f}", trend.exponent);
    } else if (trend.n_points == 1) {
      exponent = "1 (assumed)";
    }
    const double share = 100.0 * row.limit.power_w / trends.front().limit.power_w;
    const std::string of_best = std::isfinite(share) ? fmt::format("{:.0f} %", share) : "-";
    text += fmt::format("{} {:>14}{} {:>8}  {:<21}  {}\n", row_head(row.panel, row.orientation),
                        with_error(row.limit.power_w, row.power_limit_error_w), mark, of_best,
                        exponent, row.status);
  }
  if (any_extrapolated) {
    text += "  * extrapolated: the limit lies outside the solved powers\n";
  }
  return text;
}

std::vector<double> all_powers(std::span<const Outcome> outcomes) {
  std::vector<double> powers;
  for (const Outcome& outcome : outcomes) {
    powers.push_back(outcome.power_w);
  }
  std::sort(powers.begin(), powers.end());
  powers.erase(std::unique(powers.begin(), powers.end()), powers.end());
  return powers;
}

/// "" for a steady state, else a mark that the legend explains.
std::string status_mark(const Outcome& outcome) {
  if (outcome.status == name(SolveStatus::converged)) {
    return outcome.stability == "unstable" ? "?" : "";
  }
  return outcome.status == name(SolveStatus::time_average) ? "~" : "!";
}

std::string rise_cell(const Group& group, double power) {
  for (const Outcome* outcome : group.outcomes) {
    if (outcome->power_w == power) {
      return with_error(outcome->base_rise_mean_k, outcome->rise_error_k) + status_mark(*outcome);
    }
  }
  return "";
}

std::string rise_table(std::span<const Outcome> outcomes, const std::vector<Group>& groups) {
  const std::vector<double> powers = all_powers(outcomes);
  std::string text =
      "Mean rise of the base above the room's air, K (± estimated error of the mesh)\n";
  const int n_powers = static_cast<int>(powers.size());
  for (int first = 0; first < n_powers; first += powers_per_block) {
    const int last = std::min(first + powers_per_block, n_powers);
    text += fmt::format("  {:<19} {:<13}", "panel", "orientation");
    for (int k = first; k < last; ++k) {
      text += fmt::format(" {:>12}", fmt::format("{} W", powers[k]));
    }
    text += "\n";
    for (const Group& group : groups) {
      text += row_head(group.panel, group.orientation);
      for (int k = first; k < last; ++k) {
        text += fmt::format(" {:>12}", rise_cell(group, powers[k]));
      }
      text += "\n";
    }
  }
  const auto any_marked = [&](const char* mark) {
    return std::any_of(outcomes.begin(), outcomes.end(),
                       [mark](const Outcome& outcome) { return status_mark(outcome) == mark; });
  };
  if (any_marked("~")) {
    text += "  ~ mean over time: no steady state was found, or air leaves it\n";
  }
  if (any_marked("?")) {
    text += "  ? steady state whose disturbances grow: real air may leave it\n";
  }
  if (any_marked("!")) {
    text += "  ! not converged: not a result\n";
  }
  return text;
}

std::string largest_power_table(const std::vector<Group>& groups, const ReportContext& context) {
  std::string text = "At the largest power solved\n";
  text += fmt::format("  {:<19} {:<13} {:>4} {:>12} {:>8} {:>10} {:>9} {:>7} {:>8}\n", "panel",
                      "orientation", "W", "K/W", "core, °C", "air, m/s", "inlet, °C", "recirc.",
                      "radiated");
  for (const Group& group : groups) {
    const auto largest = std::max_element(
        group.outcomes.begin(), group.outcomes.end(),
        [](const Outcome* a, const Outcome* b) { return a->power_w < b->power_w; });
    if (largest == group.outcomes.end()) {
      continue;
    }
    const Outcome& outcome = **largest;
    const auto percent = [](double share) {
      return std::isfinite(share) ? fmt::format("{:.0f} %", 100.0 * share) : "-";
    };
    text += fmt::format(
        "{} {:>4} {:>12} {:>8} {:>10} {:>9} {:>7} {:>8}\n",
        row_head(group.panel, group.orientation), fmt::format("{}", outcome.power_w),
        with_decimals(outcome.resistance_k_per_w, outcome.resistance_error_k_per_w, 3),
        number_or_dash(context.room_temperature_c + outcome.core_rise_k, 1),
        with_decimals(outcome.air_speed_max_m_per_s, outcome.air_speed_error_m_per_s, 2),
        with_error(outcome.air_into_fins_c, outcome.air_into_fins_error_k),
        percent(outcome.recirculation), percent(outcome.radiated_share));
  }
  return text;
}

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

} // namespace

/// One sentence per panel state, compared with upright, or with its best where upright is missing.
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

namespace {
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

/// One sentence per panel state on finish against turning.
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

std::string balances(std::span<const Outcome> outcomes) {
  double heat = 0.0;
  double mass = 0.0;
  for (const Outcome& outcome : outcomes) {
    heat = std::max(heat, outcome.balance_error);
    mass = std::max(mass, outcome.mass_error);
  }
  return fmt::format("Worst balance of all {} conditions: heat {:.1e}, mass {:.1e} (relative)\n",
                     outcomes.size(), heat, mass);
}

/// Warnings that differ only in their numbers are of one kind.
std::string kind_of(std::string warning) {
  for (char& c : warning) {
    if (c >= '0' && c <= '9') {
      c = '0';
    }
  }
  return warning;
}

/// Each kind of warning once: the condition and numbers that it came with at the largest power, and
/// how many more conditions have it.
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

/// What the search for other flows found; empty when none was asked for.
std::string second_flows(std::span<const Outcome> outcomes) {
  int searched = 0;
  std::string found;
  for (const Outcome& outcome : outcomes) {
    searched += outcome.second_flow.empty() ? 0 : 1;
    if (outcome.second_flow == "found") {
      found +=
          wrapped("  ",
                  fmt::format("{}, {}, {} W: rise {} K ({}, {}) besides {} K ({}, {})",
                              outcome.panel, outcome.orientation, outcome.power_w,
                              number_or_dash(outcome.second_rise_k, 2), outcome.second_status,
                              outcome.second_stability, number_or_dash(outcome.base_rise_mean_k, 2),
                              outcome.status, outcome.stability),
                  4);
    }
  }
  if (searched == 0) {
    return "";
  }
  return fmt::format("\nOther flows, looked for in {} conditions\n", searched) +
         (found.empty() ? "  none found\n" : found);
}

} // namespace

std::string readable_table(std::span<const Outcome> outcomes, std::span<const TrendRow> trends,
                           const ReportContext& context) {
  std::string text = context.title + "\n";
  text += fmt::format("Room {:g} °C, limit {:g} °C ", context.room_temperature_c,
                      context.limit_temperature_c);
  text +=
      context.die_to_base_k_per_w > 0.0
          ? fmt::format("at the core ({:g} K/W from die to base)\n\n", context.die_to_base_k_per_w)
          : "at the base\n\n";
  const std::vector<Group> groups = make_groups(outcomes, trends);
  if (!trends.empty()) {
    text += limit_table(trends) + "\n";
    text += turning_costs(trends);
    text += finish_worth(trends);
    text += rise_table(outcomes, groups) + "\n";
  }
  text += largest_power_table(groups, context) + "\n";
  text += balances(outcomes);
  text += second_flows(outcomes);
  text += warning_list(outcomes);
  if (!context.notes.empty()) {
    text += "\nNotes\n";
    for (const std::string& note : context.notes) {
      text += wrapped("  ", note, 4);
    }
  }
  text += "\nCautions\n";
  for (const char* caution : cautions) {
    text += wrapped("  ", caution, 4);
  }
  return text;
}

} // namespace tiltfin
