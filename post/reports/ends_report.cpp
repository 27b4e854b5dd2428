#include "post/reports/ends_report.hpp"

#include "post/reports/core_limit_columns.hpp"
#include "post/reports/table_parts.hpp"
#include "post/text/columns.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace tiltfin {
namespace {

JointPoint joint_point(const Outcome& outcome) {
  double air = 0.0;
  for (const HeatRow& row : outcome.heat) {
    if (row.account == HeatAccount::parts && (row.group == "fin" || row.group == "base")) {
      air += row.convection_w.value;
    }
  }
  return {outcome.base_rise_mean_k.value, air, outcome.power_w - air};
}

std::vector<JointPoint> joint_points(const std::vector<Outcome>& outcomes) {
  std::vector<JointPoint> points;
  for (const Outcome& outcome : outcomes) {
    if (is_solved(outcome.status)) {
      points.push_back(joint_point(outcome));
    }
  }
  return points;
}

double relative_error(const SolvedLimit& limit) {
  return limit.power_w.error / limit.power_w.value;
}

/// "32.4 ±1.0", a star where it is extrapolated.
std::string show_joint(const JointLimit& limit) {
  return with_error(limit.power_w) + (limit.is_extrapolated ? "*" : " ");
}

/// "30.1 to 35.2".
std::string show_likely(const EndsRow& row) {
  return std::isfinite(row.likely_low.power_w.value)
             ? fmt::format("{:.1f} to {:.1f}", row.likely_low.power_w.value,
                           row.likely_high.power_w.value)
             : "-";
}

std::string show_alone(const SolvedLimit& limit) {
  const bool is_outside = limit.standing == Standing::outside;
  return show_limit(limit) + (is_outside ? "!" : limit.is_starred() ? "*" : " ");
}

/// What the ends bring where they bring most, in one sentence.
std::string ends_sentence(const EndsReport& report) {
  const auto gain = [](const EndsRow& row) {
    const double ratio = row.upper.power_w.value / row.first.power_w.value;
    return std::isfinite(ratio) ? ratio : 0.0;
  };
  const auto most = std::ranges::max_element(report.rows, {}, gain);
  if (most == report.rows.end() || gain(*most) == 0.0) {
    return "No panel state and orientation has a limit in both planes.";
  }
  return fmt::format("{}, {}: {} W with air through the edges of the section alone; with all four "
                     "open {:.1f} to {:.1f} W{}.",
                     most->panel, most->orientation, with_error(most->first.power_w),
                     most->lower.power_w.value, most->upper.power_w.value,
                     std::isfinite(most->likely_low.power_w.value)
                         ? fmt::format(", likely {} W", show_likely(*most))
                         : "");
}

} // namespace

template <RowOf<EndsRow> Row, class Visit>
void visit_members(Row& row, const Visit& visit) {
  visit("panel", row.panel);
  visit("orientation", row.orientation);
  visit("power_limit_w", row.first.power_w.value);
  visit("power_limit_error_w", row.first.power_w.error);
  visit("second_plane_power_limit_w", row.second.power_w.value);
  visit("second_plane_power_limit_error_w", row.second.power_w.error);
  visit("lower_w", row.lower.power_w.value);
  visit("lower_error_w", row.lower.power_w.error);
  visit("likely_low_w", row.likely_low.power_w.value);
  visit("likely_high_w", row.likely_high.power_w.value);
  visit("upper_w", row.upper.power_w.value);
  visit("upper_error_w", row.upper.power_w.error);
  visit("upper_rise_k", row.upper.rise_k);
  visit("second_plane_air_share", row.upper.second_share);
  visit("extrapolated", row.lower.is_extrapolated || row.upper.is_extrapolated);
  visit("status", row.status);
  visit("standing", row.standing);
}

EndsRow ends_row(const PlaneResults& first, const PlaneResults& second, const CoreLimit& core,
                 bool has_likely) {
  EndsRow row;
  row.panel = first.trend.panel;
  row.orientation = first.trend.orientation;
  row.first = first.trend.limit;
  row.second = second.trend.limit;
  row.status = std::max(row.first.status, row.second.status);
  row.standing = std::max(row.first.standing, row.second.standing);
  const std::vector<JointPoint> own = joint_points(first.outcomes);
  const std::vector<JointPoint> other = joint_points(second.outcomes);
  const JointErrors errors{relative_error(row.first), relative_error(row.second)};
  const auto limit = [&](const JointRule& rule) {
    return joint_limit(own, other, rule, errors, core);
  };
  row.lower = limit(larger_rule);
  row.upper = limit(apart_rule);
  if (has_likely) {
    row.likely_low = limit(low_rule);
    row.likely_high = limit(high_rule);
  }
  return row;
}

std::string ends_table(const EndsReport& report) {
  const CoreLimit& core = report.context.core;
  std::string text = report.context.title + "\n";
  text += fmt::format("Room {:g} °C, limit {:g} °C {}; air through the ends out of the plane\n\n",
                      core.room_temperature_c, core.limit_temperature_c, show_place(core));
  text += wrapped("", ends_sentence(report), 2) + "\n";
  text += "Power limit, W: of each plane alone; with all four edges open no less than, likely, no "
          "more\n";
  text += row_head("panel", "orientation") +
          fmt::format("{:>11} {:>11} {:>11} {:>14} {:>11} {:>5}\n", "as solved", "second",
                      "no less", "likely", "no more", "2nd");
  bool any_star = false;
  bool any_outside = false;
  for (const EndsRow& row : report.rows) {
    text += row_head(row.panel, row.orientation) +
            fmt::format("{:>11} {:>11} {:>11} {:>14} {:>11} {:>5}\n", show_alone(row.first),
                        show_alone(row.second), show_joint(row.lower), show_likely(row),
                        show_joint(row.upper), show_percent(row.upper.second_share));
    any_star = any_star || row.first.is_starred() || row.second.is_starred() ||
               row.lower.is_extrapolated || row.upper.is_extrapolated;
    any_outside = any_outside || row.standing == Standing::outside;
  }
  text += "  2nd: share of the second plane in the heat to the air, where nothing is lost by "
          "sharing it\n";
  text += any_star ? "  * extrapolated: outside what was solved\n" : "";
  text += any_outside ? "  ! outside the model\n" : "";
  text += report.warnings.empty() ? "\n" : report.warnings + "\n";
  text += "Notes\n";
  for (const std::string& note : report.notes) {
    text += wrapped("  ", note, 4);
  }
  return text + "\n" + solve_cautions();
}

std::string ends_csv(const EndsReport& report) {
  return csv_table(report.rows);
}

std::string ends_json(const EndsReport& report) {
  Json object = Json::object();
  object.add("title", report.context.title);
  visit_members(report.context.core, JsonWriter{object});
  object.add("sentence", ends_sentence(report));
  object.add("places", rows_json(report.rows));
  object.add("notes", report.notes);
  return json_text(object);
}

} // namespace tiltfin
