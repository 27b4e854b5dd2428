#include "post/reports/study_report.hpp"

#include "post/fits/groups.hpp"
#include "post/reports/table_parts.hpp"
#include "post/text/table_text.hpp"
#include "post/views/chart.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <map>
#include <set>
#include <tuple>
#include <utility>

namespace tiltfin {
namespace {

bool is_sound_limit(const SolvedLimit& limit) {
  return std::isfinite(limit.power_w.value) && limit.power_w.value > 0.0 && !limit.is_bound &&
         limit.standing != Standing::outside && limit.status != SolveStatus::not_converged;
}

std::string words_of(const StudyReport& report, const StudyRow& row) {
  std::string words;
  for (std::size_t k = 0; k < report.keys.size(); ++k) {
    const std::string& value = row.values[k];
    words += fmt::format("{}{} {}", k == 0 ? "" : ", ", report.keys[k],
                         value.empty() ? "as it is" : value);
  }
  return words;
}

using Rows = std::vector<const StudyRow*>;

/// The sound ones, best first.
Rows by_limit(const Rows& group) {
  Rows sound;
  for (const StudyRow* row : group) {
    if (is_sound_limit(row->limit)) {
      sound.push_back(row);
    }
  }
  std::ranges::stable_sort(sound, [](const StudyRow* a, const StudyRow* b) {
    return a->limit.power_w.value > b->limit.power_w.value;
  });
  return sound;
}

std::string best_lines(const StudyReport& report, const Rows& group) {
  const Rows sound = by_limit(group);
  std::string text = row_head(group.front()->panel, group.front()->orientation);
  if (sound.empty()) {
    return text + " no limit that is sound\n";
  }
  const StudyRow& best = *sound.front();
  const auto n_close = std::ranges::count_if(sound, [&](const StudyRow* row) {
    return row != &best && is_too_close(row->limit.power_w, best.limit.power_w);
  });
  text += fmt::format(" {:>14}{} {:>8} {:>7}\n", with_error(best.limit.power_w),
                      best.limit.is_starred() ? "*" : " ",
                      std::isfinite(best.mass_kg) ? fmt::format("{:.3f}", best.mass_kg) : "-",
                      fmt::format("{:06}", best.variant));
  std::string words = words_of(report, best);
  if (n_close > 0) {
    words += fmt::format("; {} more within the error bars", n_close);
  }
  return text + wrapped("      ", words, 6);
}

std::string limit_head() {
  return fmt::format("  {:<19} {:<13} {:>14}  {:>8} {:>7}\n", "panel", "orientation", "limit, W",
                     "metal, kg", "variant");
}

/// Rows of one placing by their values, where the limit is sound.
std::map<std::vector<std::string>, double> sound_limits(const Rows& group) {
  std::map<std::vector<std::string>, double> limits;
  for (const StudyRow* row : group) {
    if (is_sound_limit(row->limit)) {
      limits[row->values] = row->limit.power_w.value;
    }
  }
  return limits;
}

/// In the order of the rows.
std::vector<std::string> values_of_key(const StudyReport& report, std::size_t key) {
  std::vector<std::string> values;
  for (const StudyRow& row : report.rows) {
    if (std::ranges::find(values, row.values[key]) == values.end()) {
      values.push_back(row.values[key]);
    }
  }
  return values;
}

/// The effects of one key in one placing.
std::vector<KeyEffect> effects_in(const StudyReport& report, std::size_t key, const Rows& group) {
  const std::vector<std::string> values = values_of_key(report, key);
  const std::map<std::vector<std::string>, double> limits = sound_limits(group);
  std::vector<KeyEffect> effects;
  effects.reserve(values.size());
  for (const std::string& value : values) {
    effects.push_back(
        {report.keys[key], value, group.front()->panel, group.front()->orientation, nan, nan, 0});
  }
  std::vector<double> sums(values.size(), 0.0);
  for (const auto& [combination, limit] : limits) {
    if (combination[key] != values.front()) {
      continue; // each set of others once
    }
    std::vector<double> own;
    std::vector<std::string> other = combination;
    for (const std::string& value : values) {
      other[key] = value;
      const auto found = limits.find(other);
      if (found != limits.end()) {
        own.push_back(found->second);
      }
    }
    if (own.size() != values.size()) {
      continue;
    }
    for (std::size_t k = 0; k < own.size(); ++k) {
      sums[k] += std::log(own[k]);
      effects[k].best_limit_w = std::fmax(effects[k].best_limit_w, own[k]);
      ++effects[k].n;
    }
  }
  for (std::size_t k = 0; k < effects.size(); ++k) {
    if (effects[k].n > 0) {
      effects[k].mean_limit_w = std::exp(sums[k] / effects[k].n);
    }
  }
  return effects;
}

std::string effect_lines(const StudyReport& report) {
  std::string text;
  std::string before;
  for (const KeyEffect& effect : key_effects(report)) {
    const std::string head =
        fmt::format("{} in {}, {}", effect.key, effect.panel, effect.orientation);
    if (head != before) {
      text += fmt::format("{}  {}:", before.empty() ? "" : "\n", head);
      before = head;
    }
    text += fmt::format(
        "  {} {}", effect.value,
        std::isfinite(effect.mean_limit_w) ? fmt::format("{:.4g} W", effect.mean_limit_w) : "-");
  }
  return text.empty() ? "" : text + "\n";
}

/// Of points that would be drawn on one another the first: a hundred thousand are too many for a
/// page, and no more is seen of them.
std::vector<ChartPoint> apart(std::vector<ChartPoint> points) {
  constexpr double columns = 260.0; // a small marker is as wide as one, and as high as a row
  constexpr double rows = 160.0;
  const auto [left, right] = std::ranges::minmax_element(points, {}, &ChartPoint::x);
  const auto [low, high] = std::ranges::minmax_element(points, {}, &ChartPoint::y);
  if (points.empty()) {
    return points;
  }
  const auto share = [](double value, double from, double to) {
    return to > from ? (value - from) / (to - from) : 0.0;
  };
  std::set<std::tuple<int, int, bool>> taken;
  std::vector<ChartPoint> kept;
  for (const ChartPoint& point : points) {
    const auto column = static_cast<int>(columns * share(point.x, left->x, right->x));
    const auto row = static_cast<int>(rows * share(point.y, low->y, high->y));
    if (taken.insert({column, row, point.is_doubtful}).second) {
      kept.push_back(point);
    }
  }
  return kept;
}

} // namespace

std::vector<KeyEffect> key_effects(const StudyReport& report) {
  std::vector<KeyEffect> effects;
  if (!report.is_full) {
    return effects;
  }
  for (std::size_t key = 0; key < report.keys.size(); ++key) {
    for (const auto& group : groups_by_placing(report.rows)) {
      const std::vector<KeyEffect> own = effects_in(report, key, group);
      effects.insert(effects.end(), own.begin(), own.end());
    }
  }
  return effects;
}

std::vector<std::size_t> best_for_metal(const StudyReport& report, const std::string& panel,
                                        const std::string& orientation) {
  std::vector<std::size_t> places;
  for (std::size_t k = 0; k < report.rows.size(); ++k) {
    const StudyRow& row = report.rows[k];
    if (row.panel == panel && row.orientation == orientation && std::isfinite(row.mass_kg) &&
        is_sound_limit(row.limit)) {
      places.push_back(k);
    }
  }
  std::ranges::stable_sort(places, [&](std::size_t a, std::size_t b) {
    const StudyRow& one = report.rows[a];
    const StudyRow& other = report.rows[b];
    return std::pair(one.mass_kg, -one.limit.power_w.value) <
           std::pair(other.mass_kg, -other.limit.power_w.value);
  });
  std::vector<std::size_t> best;
  for (const std::size_t place : places) {
    if (best.empty() ||
        report.rows[place].limit.power_w.value > report.rows[best.back()].limit.power_w.value) {
      best.push_back(place);
    }
  }
  return best;
}

std::string study_table(const StudyReport& report) {
  const bool is_common = std::ranges::none_of(report.keys, [](const std::string& key) {
    return key.starts_with("room.") || key.starts_with("limit.");
  });
  const std::string limit =
      is_common ? fmt::format("Room {:g} °C, limit {:g} °C {}", report.core.room_temperature_c,
                              report.core.limit_temperature_c, show_place(report.core))
                : "Room and limit as each variant has them";
  std::string text = fmt::format("{}\n{}; {} of {} variants solved\n\n", report.title, limit,
                                 report.n_variants - report.n_missing, report.n_variants);
  text += "Best power limit of every orientation (± estimated error of mesh, fit and flow)\n" +
          limit_head();
  for (const auto& group : groups_by_placing(report.rows)) {
    text += best_lines(report, group);
  }
  text += "  * extrapolated: the limit lies outside the solved powers\n";
  const std::string effects = effect_lines(report);
  if (!effects.empty()) {
    text += "\nWhat each key is worth: geometric mean of the limits with each value, all else "
            "equal\n" +
            effects;
  }
  return text + "\n" + solve_cautions();
}

std::string study_csv(const StudyReport& report) {
  std::vector<std::string> head{csv_text("variant")};
  for (const std::string& key : report.keys) {
    head.push_back(csv_text(key));
  }
  for (const char* name : {"mass_kg", "panel", "orientation"}) {
    head.push_back(csv_text(name));
  }
  const SolvedLimit none;
  visit_limit(none, HeadWriter{head});
  visit_limit_status(none, HeadWriter{head});
  std::string text = csv_line(head);
  for (const StudyRow& row : report.rows) {
    std::vector<std::string> cells{csv_text(fmt::format("{:06}", row.variant))};
    for (const std::string& value : row.values) {
      cells.push_back(csv_text(value));
    }
    cells.insert(cells.end(),
                 {csv_value(row.mass_kg), csv_text(row.panel), csv_text(row.orientation)});
    visit_limit(row.limit, CellWriter{cells});
    visit_limit_status(row.limit, CellWriter{cells});
    text += csv_line(cells);
  }
  return text;
}

template <RowOf<KeyEffect> Row, class Visit>
void visit_members(Row& effect, const Visit& visit) {
  visit("key", effect.key);
  visit("value", effect.value);
  visit("panel", effect.panel);
  visit("orientation", effect.orientation);
  visit("mean_power_limit_w", effect.mean_limit_w);
  visit("best_power_limit_w", effect.best_limit_w);
  visit("combinations", effect.n);
}

std::string effects_csv(const StudyReport& report) {
  return csv_table(key_effects(report));
}

std::string study_chart(const StudyReport& report) {
  constexpr std::size_t many = 200; // a series of more has small markers, none on another
  Chart chart;
  chart.title = report.title;
  chart.x_label = "metal of the cooler, kg";
  chart.y_label = "power limit, W";
  chart.hollow_label = "extrapolated";
  chart.note = "Joined: what no other variant beats in both metal and limit.";
  int number = 0;
  bool any = false;
  for (const auto& group : groups_by_placing(report.rows)) {
    const SeriesLook look = series_look(number++);
    const StudyRow& first = *group.front();
    ChartSeries series;
    series.label = fmt::format("{}, {}", first.panel, first.orientation);
    series.colour = look.colour;
    series.marker = look.marker;
    series.is_small = group.size() > many;
    for (const StudyRow* row : group) {
      if (std::isfinite(row->mass_kg) && is_sound_limit(row->limit)) {
        series.points.push_back(
            chart_point(row->mass_kg, row->limit.power_w, row->limit.is_starred()));
      }
    }
    if (series.is_small) {
      series.points = apart(std::move(series.points));
    }
    for (const std::size_t place : best_for_metal(report, first.panel, first.orientation)) {
      const StudyRow& row = report.rows[place];
      const double limit = row.limit.power_w.value;
      series.curve.push_back({row.mass_kg, limit, limit, limit});
    }
    any = any || !series.points.empty();
    chart.series.push_back(std::move(series));
  }
  return any ? chart_svg(chart) : "";
}

} // namespace tiltfin
