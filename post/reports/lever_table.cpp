#include "post/fits/groups.hpp"
#include "post/reports/lever_report.hpp"
#include "post/reports/table_parts.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <utility>

namespace tiltfin {
namespace {

/// "+12.2 ±0.4".
std::string with_sign(const Estimate& gain) {
  return (gain.value > 0.0 ? "+" : "") + with_error(gain);
}

std::string placing_text(const LeverPlace& place) {
  return place.panel + ", " + place.orientation;
}

/// "finish (black-anodised (0.82) in place of bare-aluminium (0.2))".
std::string lever_text(const LeverRow& row) {
  return fmt::format("{} ({})", name(row.lever), row.change);
}

/// "+12.2 ±0.4 W, 30 times its error".
std::string sureness(const LeverRow& row) {
  return fmt::format("{} W, {:.2g} times its error", with_sign(row.gain_w),
                     row.gain_w.value / row.gain_w.error);
}

bool is_turning(const LeverRow& row) {
  return row.lever == LeverKind::orientation;
}

/// Whether it counts among what helps most: watts decide, the machine stays as it stands.
bool is_candidate(const LeverRow& row) {
  return row.verdict == LeverVerdict::helps && row.gain_w.value > 0.0 && !is_turning(row);
}

/// The place's best change that is no turning, null when none helps; rows stand ranked.
const LeverRow* best_change(const LeverReport& report, const LeverPlace& place) {
  const auto best = std::ranges::find_if(report.rows, [&](const LeverRow& row) {
    return placing_of(row) == placing_of(place) && is_candidate(row);
  });
  return best == report.rows.end() ? nullptr : &*best;
}

/// What else of the place cannot be told from its best; null: nothing.
const LeverRow* rival_of(const LeverReport& report, const LeverRow& best) {
  const auto rival = std::ranges::find_if(report.rows, [&](const LeverRow& row) {
    const bool counts =
        row.verdict == LeverVerdict::helps || row.verdict == LeverVerdict::undecided;
    return &row != &best && placing_of(row) == placing_of(best) && counts && !is_turning(row) &&
           is_too_close(row.gain_w, best.gain_w);
  });
  return rival == report.rows.end() ? nullptr : &*rival;
}

/// "on, flat-up, panel (off in place of on): +12.2 ±0.4 W, 30 times its error".
std::string place_clause(const LeverReport& report, const LeverPlace& place) {
  const LeverRow* best = best_change(report, place);
  std::string text =
      best == nullptr
          ? placing_text(place) + ", where no change helps by more than its error"
          : fmt::format("{}, {}: {}", placing_text(place), lever_text(*best), sureness(*best));
  const LeverRow* rival = best == nullptr ? nullptr : rival_of(report, *best);
  if (rival != nullptr) {
    text += fmt::format("; too close to call against {}, {} W", lever_text(*rival),
                        with_sign(rival->gain_w));
  }
  const double gain = best == nullptr ? 0.0 : best->gain_w.value;
  const auto turning = std::ranges::find_if(report.rows, [&](const LeverRow& row) {
    return placing_of(row) == placing_of(place) && is_turning(row) &&
           row.verdict == LeverVerdict::helps && row.gain_w.value > gain;
  });
  if (turning != report.rows.end()) {
    text += fmt::format("; turning it, {}, brings more: {}", turning->change, sureness(*turning));
  }
  return text;
}

/// Of all places the one with the largest gain; the poorest where none has any.
const LeverPlace& most_helped(const LeverReport& report) {
  const auto gain = [&](const LeverPlace& place) {
    const LeverRow* best = best_change(report, place);
    return best == nullptr ? 0.0 : best->gain_w.value;
  };
  return *std::ranges::max_element(report.places, {}, gain);
}

/// "*" beside an extrapolated limit, "~" beside a mean over time.
const char* mean_mark(const std::optional<SolveStatus>& status) {
  return status == SolveStatus::time_average ? "~" : "";
}

std::string show_power_limit(const LeverPlace& place) {
  return fmt::format("limit {} W{}", with_error(place.limit.power_w),
                     place.limit.is_starred() ? "*" : "");
}

std::string place_table(const LeverReport& report, const LeverPlace& place) {
  std::string text =
      wrapped("",
              fmt::format("{}, as it is: rise {} K{}, {}, exponent {}", placing_text(place),
                          with_error(place.rise_k), mean_mark(place.status),
                          show_power_limit(place), show_exponent(place.trend)),
              2);
  if (place.standing != Standing::sound) {
    text += wrapped("  WARNING: ",
                    with_standing("as it is", place.standing) +
                        (place.limit.doubt.empty() ? "" : ": " + place.limit.doubt),
                    4);
  }
  text +=
      fmt::format("  {:<11} {:>12}  {:>11}   {:<9}  {}\n", "lever", "W", "K", "verdict", "change");
  for (const LeverRow& row : report.rows) {
    if (placing_of(row) == placing_of(place) && row.verdict != LeverVerdict::not_tried) {
      text += wrapped(fmt::format("  {:<11} {:>12}  {:>11}{:<1}  {:<9}  ", name(row.lever),
                                  with_sign(row.gain_w), with_sign(row.gain_k),
                                  mean_mark(row.status), name(row.verdict)),
                      with_standing(row.change, row.standing), 55);
    }
  }
  return text;
}

/// What was not tried and why, each reason once, with its places where it is not all of them.
std::string untried(const LeverReport& report) {
  const auto reason = [](const LeverRow& row) { return std::pair(row.lever, row.change); };
  std::string text;
  for (const auto& rows : groups_by(report.rows, reason)) {
    if (rows.front()->verdict != LeverVerdict::not_tried) {
      continue;
    }
    std::string where;
    if (rows.size() < report.places.size()) {
      for (const LeverRow* row : rows) {
        where += (where.empty() ? " (" : "; ") + row->panel + ", " + row->orientation;
      }
      where += ")";
    }
    text += wrapped(
        "  ", fmt::format("{}{}: {}", name(rows.front()->lever), where, rows.front()->change), 4);
  }
  return text.empty() ? text : "Not tried\n" + text + "\n";
}

std::string legend(const LeverReport& report) {
  std::string text;
  if (std::ranges::any_of(report.places,
                          [](const LeverPlace& place) { return place.limit.is_starred(); })) {
    text += "  * extrapolated: the limit lies outside the solved powers\n";
  }
  const auto is_mean = [](const auto& any) { return any.status == SolveStatus::time_average; };
  if (std::ranges::any_of(report.places, is_mean) || std::ranges::any_of(report.rows, is_mean)) {
    text += "  ~ mean over time: no steady state was found\n";
  }
  return text;
}

} // namespace

std::string lever_sentence(const LeverReport& report) {
  if (report.places.empty()) {
    return "";
  }
  const LeverPlace& most = most_helped(report);
  std::string text = "What helps most: " + place_clause(report, most) + ".";
  const LeverPlace& poorest = report.places.front();
  if (&poorest != &most) {
    text += " The poorest is " + place_clause(report, poorest) + ".";
  }
  return text;
}

std::string lever_table(const LeverReport& report) {
  const CoreLimit& core = report.context.core;
  std::string text = report.context.title + "\n";
  text += fmt::format("Room {:g} °C, limit {:g} °C {}; single changes, steady at {:g} W\n\n",
                      core.room_temperature_c, core.limit_temperature_c, show_place(core),
                      report.power_w);
  text += wrapped("", lever_sentence(report), 2) + "\n";
  text += "Gain of power limit, W, and of base rise, K (± estimated error of both meshes), poorest "
          "first\n";
  for (const LeverPlace& place : report.places) {
    text += place_table(report, place) + "\n";
  }
  const std::string marks = legend(report);
  text += marks.empty() ? "" : marks + "\n";
  text += untried(report);
  text += report.warnings.empty() ? "" : report.warnings.substr(1) + "\n";
  text += "Notes\n";
  for (const std::string& note : report.notes) {
    text += wrapped("  ", note, 4);
  }
  return text + "\n" + solve_cautions();
}

} // namespace tiltfin
