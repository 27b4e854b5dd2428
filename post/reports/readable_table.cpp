#include "post/fits/groups.hpp"
#include "post/fits/minute_means.hpp"
#include "post/reports/choices.hpp"
#include "post/reports/remarks.hpp"
#include "post/reports/report.hpp"
#include "post/reports/table_parts.hpp"
#include "post/reports/why.hpp"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <iterator>
#include <utility>

namespace tiltfin {
namespace {

constexpr int powers_per_block = 5;

/// Conditions of one panel state and orientation, powers as solved.
using Group = std::vector<const Outcome*>;

/// Groups in the order of the trends, then those that have no trend.
std::vector<Group> make_groups(std::span<const Outcome> outcomes,
                               std::span<const TrendRow> trends) {
  std::vector<Group> groups = groups_by_placing(outcomes);
  std::ranges::stable_sort(groups, {}, [&](const Group& group) {
    const auto row = std::ranges::find(trends, placing_of(*group.front()), placing_of<TrendRow>);
    return row - trends.begin();
  });
  return groups;
}

/// As with_error with a fixed number of decimals; an error below the last of them is shown as one.
std::string with_decimals(const Estimate& estimate, int decimals) {
  if (!std::isfinite(estimate.value) || !std::isfinite(estimate.error)) {
    return number_or_dash(estimate.value, decimals);
  }
  return fmt::format("{:.{}f} ±{:.{}f}", estimate.value, decimals,
                     std::max(estimate.error, std::pow(10.0, -decimals)), decimals);
}

/// "on, upright 140 to 160 W; ..." and why the search for a limit ended early.
std::string limit_brackets(std::span<const TrendRow> trends) {
  std::vector<std::string> brackets;
  std::string text;
  for (const TrendRow& row : trends) {
    const std::string who = row.panel + ", " + row.orientation;
    const std::string between = row.limit.between();
    if (!between.empty()) {
      brackets.push_back(fmt::format("{} {} W", who, between));
    }
    for (const std::string* said : {&row.limit.search, &row.limit.doubt}) {
      text += said->empty() ? "" : wrapped("  ", who + ": " + *said, 4);
    }
  }
  return brackets.empty()
             ? text
             : wrapped("  ", fmt::format("solved on both sides: {}", fmt::join(brackets, "; ")),
                       4) +
                   text;
}

std::string limit_table(std::span<const TrendRow> trends) {
  std::string text = "Power limit, best first\n";
  text += fmt::format("  {:<19} {:<13} {:>15} {:>8}  {:<21}  {}\n", "panel", "orientation",
                      "limit, W", "of best", "exponent (95 %)", "status");
  bool any_starred = false;
  for (const TrendRow& row : trends) {
    const std::string mark = row.limit.is_starred() ? "*" : " ";
    any_starred = any_starred || row.limit.is_starred();
    const double share = row.limit.power_w.value / trends.front().limit.power_w.value;
    text += fmt::format("{} {:>14}{} {:>8}  {:<21}  {}\n", row_head(row.panel, row.orientation),
                        show_limit(row.limit), mark, show_percent(share), show_exponent(row.trend),
                        show_status(row.limit));
  }
  if (any_starred) {
    text += "  * extrapolated: the limit lies outside the solved powers\n";
  }
  return text + limit_brackets(trends);
}

/// How long a soak must be at least; "" where no metal is known.
std::string soak_length(std::span<const TrendRow> trends) {
  const auto is_shorter = [](const TrendRow& a, const TrendRow& b) {
    return a.settling_time_s.value < b.settling_time_s.value;
  };
  std::vector<TrendRow> known(trends.begin(), trends.end());
  std::erase_if(known, [](const TrendRow& row) { return !(row.settling_time_s.value > 0.0); });
  if (known.empty()) {
    return "";
  }
  const auto [first, last] = std::ranges::minmax_element(known, is_shorter);
  const auto told = [](const TrendRow& row) {
    return fmt::format("{:.0f} min ({}, {})", row.settling_time_s.value / minute_s, row.panel,
                       row.orientation);
  };
  return wrapped("",
                 fmt::format("A soak comes within 1 % of its end in {}{}: of the cooler's metal "
                             "alone; board and case take longer (trend.csv).",
                             told(*first), first == last ? "" : " to " + told(*last)),
                 2) +
         "\n";
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
  if (outcome.standing != Standing::sound) {
    return is_outside(outcome) ? "!!" : "^";
  }
  if (outcome.status == SolveStatus::converged) {
    return outcome.stability.state == Stability::unstable ? "?" : "";
  }
  if (outcome.origin == PowerOrigin::listed_beyond_range) {
    return "#";
  }
  return outcome.status == SolveStatus::time_average ? "~" : "!";
}

std::string rise_cell(const Group& group, double power) {
  for (const Outcome* outcome : group) {
    if (outcome->power_w == power) {
      return with_error(outcome->base_rise_mean_k) + status_mark(*outcome);
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
      text += row_head(group.front()->panel, group.front()->orientation);
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
  if (any_marked("^")) {
    text += "  ^ doubtful (see the warnings)\n";
  }
  if (any_marked("!!")) {
    text += "  !! outside the model: no number of a machine (see the warnings)\n";
  }
  if (any_marked("#")) {
    text += "  # beyond the model's range: no result (see the warnings)\n";
  }
  return text;
}

/// Of the air that feeds the fins, or that none does.
std::string feeding_air(const Outcome& outcome) {
  return outcome.feeding == Feeding::stagnant ? name(outcome.feeding)
                                              : with_error(outcome.air_into_fins_c);
}

/// Of those that the tables of air reach, where there is one.
const Outcome& at_largest_power(const Group& group) {
  return **std::ranges::max_element(group, {}, [](const Outcome* outcome) {
    return std::pair(outcome->origin == PowerOrigin::listed, outcome->power_w);
  });
}

std::string largest_power_table(const std::vector<Group>& groups, const CoreLimit& core) {
  std::string text = "At the largest power solved\n";
  text += fmt::format("  {:<19} {:<13} {:>4} {:>12} {:>8} {:>10} {:>7} {:>8}\n", "panel",
                      "orientation", "W", "K/W", "core, °C", "air, m/s", "recirc.", "radiated");
  for (const Group& group : groups) {
    const Outcome& outcome = at_largest_power(group);
    text += fmt::format(
        "{} {:>4} {:>12} {:>8} {:>10} {:>7} {:>8}\n", row_head(outcome.panel, outcome.orientation),
        fmt::format("{}", outcome.power_w), with_decimals(outcome.resistance_k_per_w, 3),
        number_or_dash(core.room_temperature_c + outcome.core_rise_k, 1),
        with_decimals(outcome.air_speed_max_m_per_s, 2), show_percent(outcome.recirculation),
        show_percent(outcome.radiated_share));
  }
  return text + "\n";
}

/// What feeds the cooler; "" without one.
std::string air_table(const std::vector<Group>& groups) {
  if (std::ranges::all_of(groups, [](const Group& group) {
        return at_largest_power(group).feeding == Feeding::none;
      })) {
    return "";
  }
  std::string text = "Fresh air through the cooler, its temperature before the fins, and what goes "
                     "past them\n";
  text += fmt::format("  {:<19} {:<13} {:>4} {:>14} {:>12} {:>13} {:>12}\n", "panel", "orientation",
                      "W", "through, g/s", "inlet, °C", "re-enters", "past, g/s");
  for (const Group& group : groups) {
    const Outcome& outcome = at_largest_power(group);
    text += fmt::format(
        "{} {:>4} {:>14} {:>12} {:>13} {:>12}\n", row_head(outcome.panel, outcome.orientation),
        fmt::format("{}", outcome.power_w), with_decimals(outcome.through_flow_g_per_s, 2),
        feeding_air(outcome), show_percent(outcome.re_entering_share),
        with_decimals(outcome.bypass_flow_g_per_s, 2));
  }
  return text + "\n";
}

const DraftPart* draft_part(const Outcome& outcome, const char* part) {
  const auto found = std::ranges::find(outcome.draft, part, &DraftPart::name);
  return found == outcome.draft.end() ? nullptr : &*found;
}

/// In mPa; "-" where it is not known.
std::string milli(const Outcome& outcome, const char* part, Estimate DraftPart::*pressure) {
  const DraftPart* own = draft_part(outcome, part);
  return number_or_dash(own == nullptr ? nan : 1000.0 * (own->*pressure).value, 1);
}

/// What drives the air through the cooler; "" without one.
std::string draft_table(const std::vector<Group>& groups) {
  if (std::ranges::all_of(
          groups, [](const Group& group) { return at_largest_power(group).draft.empty(); })) {
    return "";
  }
  std::string text = "What drives that air, and where it is lost, mPa (draft ... in summary.csv)\n";
  text += fmt::format("  {:<19} {:<13} {:>4}  {:^26}  {:^26}\n", "", "", "", "driven", "lost");
  text += fmt::format("  {:<19} {:<13} {:>4} {:>6} {:>6} {:>6} {:>6}  {:>6} {:>6} {:>6} {:>6}\n",
                      "panel", "orientation", "W", "before", "fins", "after", "room", "before",
                      "fins", "after", "grille");
  for (const Group& group : groups) {
    const Outcome& outcome = at_largest_power(group);
    text += fmt::format("{} {:>4}", row_head(outcome.panel, outcome.orientation),
                        fmt::format("{}", outcome.power_w));
    for (const char* part : {"before", "fins", "after", "room"}) {
      text += fmt::format(" {:>6}", milli(outcome, part, &DraftPart::driving_pa));
    }
    text += " ";
    for (const char* part : {"before", "fins", "after", "grilles"}) {
      text += fmt::format(" {:>6}", milli(outcome, part, &DraftPart::lost_pa));
    }
    text += "\n";
  }
  return text + "\n";
}

/// "48 + 17", "2 - 2": what a group gives to the air and by radiation, % of the heat released; ""
/// when it is not there.
std::string group_heat(const Outcome& outcome, const std::string& group) {
  double released = 0.0;
  const HeatRow* found = nullptr;
  for (const HeatRow& row : outcome.heat) {
    if (row.account == HeatAccount::groups) {
      released += row.released_w;
      found = row.part == group ? &row : found;
    }
  }
  if (found == nullptr || released <= 0.0) {
    return "";
  }
  const double carried = std::round(100.0 * found->convection_w.value / released) + 0.0; // no -0
  const double radiated = std::round(100.0 * found->radiation_w.value / released);
  return fmt::format("{:.0f} {} {:.0f}", carried, radiated < 0.0 ? '-' : '+', std::abs(radiated));
}

std::string heat_table(const std::vector<Group>& groups) {
  constexpr std::array<const char*, 6> shown{"fin", "base", "source", "board", "wall", "room"};
  const auto has_column = [&](const std::string& group) {
    return std::ranges::any_of(groups, [&](const Group& own) {
      return !group_heat(at_largest_power(own), group).empty();
    });
  };
  if (std::ranges::none_of(shown, has_column)) {
    return "";
  }
  std::string head = fmt::format("  {:<19} {:<13} {:>4}", "panel", "orientation", "W");
  for (const char* group : shown) {
    head += has_column(group) ? fmt::format(" {:>9}", group) : "";
  }
  std::string text =
      "Heat given off to the air + by radiation, % of the heat released (heat.csv)\n";
  text += head + "\n";
  for (const Group& group : groups) {
    const Outcome& outcome = at_largest_power(group);
    text += fmt::format("{} {:>4}", row_head(outcome.panel, outcome.orientation),
                        fmt::format("{}", outcome.power_w));
    for (const char* part : shown) {
      text += has_column(part) ? fmt::format(" {:>9}", group_heat(outcome, part)) : "";
    }
    text += "\n";
  }
  return text + "\n";
}

} // namespace

std::string readable_table(std::span<const Outcome> all, std::span<const TrendRow> trends,
                           const ReportContext& context) {
  std::vector<Outcome> outcomes; // of the listed powers; what was added shows in the limits
  std::ranges::copy_if(all, std::back_inserter(outcomes), is_listed);
  std::string text = context.title + "\n";
  text += fmt::format("Room {:g} °C, limit {:g} °C {}\n\n", context.core.room_temperature_c,
                      context.core.limit_temperature_c, show_place(context.core));
  const std::vector<Group> groups = make_groups(outcomes, trends);
  if (!trends.empty()) {
    text += limit_table(trends) + "\n";
    std::vector<TurnedLimit> turned;
    for (const TrendRow& row : trends) {
      turned.push_back({row.panel, row.orientation, row.limit.power_w.value});
    }
    text += turning_costs(turned);
    text += why_section(explain(all, trends, context));
    text += finish_worth(trends);
    text += rise_table(outcomes, groups) + "\n";
    text += soak_length(trends);
  }
  text += largest_power_table(groups, context.core) + air_table(groups);
  text += draft_table(groups);
  text += heat_table(groups);
  text += worst_balances(all);
  text += second_flows(all);
  text += expansion_remark(all) + warning_list(all);
  if (!context.notes.empty()) {
    text += "\nNotes\n";
    for (const std::string& note : context.notes) {
      text += wrapped("  ", note, 4);
    }
  }
  return text + "\n" + solve_cautions();
}

} // namespace tiltfin
