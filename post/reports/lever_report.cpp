#include "post/reports/lever_report.hpp"

#include "post/fits/groups.hpp"
#include "post/reports/core_limit_columns.hpp"
#include "post/reports/table_parts.hpp"
#include "post/text/columns.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>

namespace tiltfin {
namespace {

/// Of a difference.
double root_of_squares(double a, double b) {
  return std::hypot(a, b); // NaN where one is not known
}

LeverVerdict verdict_of(const Estimate& gain) {
  if (!std::isfinite(gain.value)) {
    return LeverVerdict::no_result;
  }
  if (!std::isfinite(gain.error) || std::abs(gain.value) <= gain.error) {
    return LeverVerdict::undecided;
  }
  return gain.value > 0.0 ? LeverVerdict::helps : LeverVerdict::hurts;
}

/// The limit [W] with the rise of the place times `ratio`; NaN where the place has none.
double limit_at_ratio(const LeverPlace& place, const CoreLimit& core, double ratio,
                      double core_to_base_k_per_w) {
  const double limit = place.limit.power_w.value;
  const double rise = core.rise_k() - core.core_to_base_k_per_w * limit;
  if (!(limit > 0.0) || !(rise > 0.0) || !(ratio > 0.0)) {
    return nan;
  }
  Trend trend = place.trend;
  trend.factor = ratio * rise / std::pow(limit, trend.exponent);
  return fitted_power_limit(trend, core.rise_k(), core_to_base_k_per_w);
}

LeverRow row_at(const LeverPlace& place, LeverKind lever, const std::string& change) {
  LeverRow row;
  row.panel = place.panel;
  row.orientation = place.orientation;
  row.lever = lever;
  row.change = change;
  return row;
}

Estimate difference(const Estimate& a, const Estimate& b) {
  return {a.value - b.value, root_of_squares(a.error, b.error)};
}

bool was_tried(const LeverRow& row) {
  return row.verdict != LeverVerdict::not_tried;
}

/// A row of levers.csv: a change beside what it changes.
struct LeverFileRow {
  LeverRow row;
  LeverPlace place;
  double power_w = 0.0;
};

template <RowOf<LeverFileRow> Row, class Visit>
void visit_members(Row& file, const Visit& visit) {
  visit("panel", file.row.panel);
  visit("orientation", file.row.orientation);
  visit("power_w", file.power_w);
  visit("lever", file.row.lever);
  visit("change", file.row.change);
  visit("verdict", file.row.verdict);
  visit("gain_w", file.row.gain_w.value);
  visit("gain_error_w", file.row.gain_w.error);
  visit("gain_k", file.row.gain_k.value);
  visit("gain_error_k", file.row.gain_k.error);
  visit("rise_k", file.row.rise_k.value);
  visit("rise_error_k", file.row.rise_k.error);
  visit("power_limit_w", file.row.limit_w.value);
  visit("power_limit_error_w", file.row.limit_w.error);
  visit("status", file.row.status);
  visit("standing", file.row.standing);
  visit("as_it_is_rise_k", file.place.rise_k.value, In::csv);
  visit("as_it_is_rise_error_k", file.place.rise_k.error, In::csv);
  visit("as_it_is_power_limit_w", file.place.limit.power_w.value, In::csv);
  visit("as_it_is_power_limit_error_w", file.place.limit.power_w.error, In::csv);
  visit("as_it_is_status", file.place.status, In::csv);
  visit("exponent", file.place.trend.exponent, In::csv);
}

std::vector<LeverFileRow> rows_of_place(const LeverReport& report, const LeverPlace& place) {
  std::vector<LeverFileRow> rows;
  for (const LeverRow& row : report.rows) {
    if (placing_of(row) == placing_of(place)) {
      rows.push_back({row, place, report.power_w});
    }
  }
  return rows;
}

} // namespace

template <RowOf<LeverPlace> Row, class Visit>
void visit_members(Row& place, const Visit& visit) {
  visit("panel", place.panel);
  visit("orientation", place.orientation);
  visit("rise_k", place.rise_k.value);
  visit("rise_error_k", place.rise_k.error);
  visit("status", place.status);
  visit("standing", place.standing);
  visit_limit(place.limit, visit);
  visit("n_points", place.trend.n_points);
  visit("exponent", place.trend.exponent);
}

const char* name(LeverKind lever) {
  constexpr std::array<const char*, 8> names{"panel", "finish", "walls", "gap",
                                             "size",  "grille", "feet",  "orientation"};
  return names[static_cast<std::size_t>(lever)];
}

const char* name(LeverVerdict verdict) {
  constexpr std::array<const char*, 5> names{"helps", "undecided", "hurts", "no result",
                                             "not tried"};
  return names[static_cast<std::size_t>(verdict)];
}

LeverRow solved_lever(const LeverPlace& place, const CoreLimit& core, LeverKind lever,
                      const std::string& change, const Estimate& rise_k, SolveStatus status,
                      double core_to_base_k_per_w) {
  LeverRow row = row_at(place, lever, change);
  row.status = status;
  row.rise_k = rise_k;
  if (!is_solved(status)) {
    row.rise_k = {.value = nan};
  }
  row.gain_k = difference(place.rise_k, row.rise_k);
  row.verdict = verdict_of(row.gain_k);
  const double ratio = row.rise_k.value / place.rise_k.value;
  const double ratio_error = row.gain_k.error / place.rise_k.value;
  const auto limit = [&](double at) {
    return limit_at_ratio(place, core, at, core_to_base_k_per_w);
  };
  row.limit_w.value = limit(ratio);
  row.gain_w.value = row.limit_w.value - place.limit.power_w.value;
  row.gain_w.error = 0.5 * (limit(ratio - ratio_error) - limit(ratio + ratio_error));
  row.limit_w.error = root_of_squares(row.gain_w.error, place.limit.power_w.error);
  return row;
}

LeverRow known_lever(const LeverPlace& place, LeverKind lever, const std::string& change,
                     const LeverPlace& other) {
  LeverRow row = row_at(place, lever, change);
  row.status = other.status;
  row.rise_k = other.rise_k;
  row.gain_k = difference(place.rise_k, other.rise_k);
  row.limit_w = other.limit.power_w;
  row.gain_w = difference(other.limit.power_w, place.limit.power_w);
  row.verdict = verdict_of(row.gain_w);
  return row;
}

void judge_lever(const LeverPlace& place, Standing changed, double power_w, LeverRow& row) {
  const Judgement limit = judge_limit(
      {.power_w = row.limit_w.value, .lowest_solved_w = power_w, .highest_solved_w = power_w});
  row.standing = std::max({place.standing, changed, limit.standing});
  if (row.standing == Standing::outside && row.verdict != LeverVerdict::not_tried) {
    row.verdict = LeverVerdict::no_result;
  }
}

void rank_levers(LeverReport& report) {
  std::ranges::stable_sort(report.places, [](const LeverPlace& a, const LeverPlace& b) {
    const double first = a.limit.power_w.value;
    const double second = b.limit.power_w.value;
    return std::isfinite(first) && (!std::isfinite(second) || first < second);
  });
  const auto place = [&](const LeverRow& row) {
    return std::ranges::find(report.places, placing_of(row), placing_of<LeverPlace>);
  };
  std::ranges::stable_sort(report.rows, [&](const LeverRow& a, const LeverRow& b) {
    if (place(a) != place(b)) {
      return place(a) < place(b);
    }
    if (was_tried(a) != was_tried(b)) {
      return was_tried(a);
    }
    return is_better(a.gain_w.value, b.gain_w.value);
  });
}

std::string lever_csv(const LeverReport& report) {
  std::vector<LeverFileRow> rows;
  for (const LeverPlace& place : report.places) {
    const std::vector<LeverFileRow> own = rows_of_place(report, place);
    rows.insert(rows.end(), own.begin(), own.end());
  }
  return csv_table(rows);
}

std::string lever_json(const LeverReport& report) {
  Json object = Json::object();
  object.add("title", report.context.title);
  visit_members(report.context.core, JsonWriter{object});
  object.add("power_w", report.power_w);
  object.add("sentence", lever_sentence(report));
  Json places = Json::list();
  for (const LeverPlace& place : report.places) {
    Json entry = row_json(place);
    entry.add("levers", rows_json(rows_of_place(report, place)));
    places.push(std::move(entry));
  }
  object.add("places", std::move(places));
  object.add("notes", report.notes);
  return json_text(object);
}

} // namespace tiltfin
