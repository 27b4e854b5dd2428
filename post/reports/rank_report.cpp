#include "post/reports/rank_report.hpp"

#include "post/reports/core_limit_columns.hpp"
#include "post/reports/table_parts.hpp"
#include "post/reports/trend_row.hpp"
#include "post/text/columns.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <limits>
#include <numeric>
#include <optional>
#include <utility>

namespace tiltfin {
namespace {

constexpr std::size_t coolers_per_block = 4;
constexpr std::size_t most_shown = 12; // and the best of every column
constexpr std::size_t longest_name = 60;

/// What a cooler is in a column.
enum class Place { behind, too_close, best };

const char* name(Place place) {
  return place == Place::best ? "best" : place == Place::too_close ? "too close to call" : "";
}

/// "<" for the best of a column, "=" for what cannot be told from it.
const char* mark(Place place) {
  return place == Place::best ? "<" : place == Place::too_close ? "=" : " ";
}

Place place_of(const RankReport& report, std::size_t cooler, std::size_t column) {
  const std::optional<std::size_t> best = best_in(report, column);
  if (best == cooler) {
    return Place::best;
  }
  const Estimate& own = report.coolers[cooler].limits[column].power_w;
  const bool is_close = best && std::isfinite(own.value) &&
                        is_too_close(own, report.coolers[*best].limits[column].power_w);
  return is_close ? Place::too_close : Place::behind;
}

/// With a place for the star in every row.
std::string limit_in_row(const SolvedLimit& limit) {
  const bool is_outside = limit.standing == Standing::outside;
  return show_limit(limit) + (is_outside ? "!" : limit.is_starred() ? "*" : " ");
}

std::string letter(std::size_t k) {
  return k < 26 ? std::string(1, static_cast<char>('A' + k)) : fmt::format("{}", k + 1);
}

std::string show_grams(double mass_kg) {
  return number_or_dash(1000.0 * mass_kg, 0);
}

std::string cooler_table(const RankReport& report, const std::vector<std::size_t>& shown) {
  std::size_t width = 30;
  for (const std::size_t k : shown) {
    width = std::max(width, std::min(report.coolers[k].name.size(), longest_name));
  }
  std::string text = fmt::format("     {:<{}} {:>8} {:>11} {:>9} {:>16} {:>9}\n", "cooler", width,
                                 "mass, g", "metal, cm3", "kg/m3", "weighted, W", "least, W");
  for (const std::size_t k : shown) {
    const RankedCooler& cooler = report.coolers[k];
    double least = std::numeric_limits<double>::infinity();
    for (const SolvedLimit& limit : cooler.limits) {
      const double power = limit.power_w.value;
      least = std::isfinite(power) ? std::min(least, power) : least;
    }
    std::string name = cooler.name;
    name = name.size() > width ? name.substr(0, width - 1) + "~" : name;
    text += fmt::format("  {:<2} {:<{}} {:>8} {:>11} {:>9} {:>16} {:>9}\n", letter(k), name, width,
                        show_grams(cooler.mass_kg), number_or_dash(1e6 * cooler.volume_m3, 1),
                        std::isfinite(cooler.density_kg_per_m3)
                            ? fmt::format("{:g}", cooler.density_kg_per_m3)
                            : "-",
                        limit_in_row(weighted_limit(report, cooler)), number_or_dash(least, 1));
  }
  const std::size_t n_left = report.coolers.size() - shown.size();
  text += n_left > 0 ? fmt::format("  and {} more in rank.csv\n", n_left) : "";
  return text + "  weighted: " + report.weights_text + "\n";
}

std::string limit_table(const RankReport& report, const std::vector<std::size_t>& shown) {
  std::string text = "Power limit, W (± estimated error of mesh, fit and flow)\n";
  for (std::size_t first = 0; first < shown.size(); first += coolers_per_block) {
    const std::size_t end = std::min(first + coolers_per_block, shown.size());
    text += fmt::format("  {:<19} {:<13}", "panel", "orientation");
    for (std::size_t k = first; k < end; ++k) {
      text += fmt::format(" {:>15} ", letter(shown[k]));
    }
    text += "\n";
    for (std::size_t c = 0; c < report.columns.size(); ++c) {
      text += row_head(report.columns[c].panel, report.columns[c].orientation);
      for (std::size_t k = first; k < end; ++k) {
        text += fmt::format(" {:>15}{}", limit_in_row(report.coolers[shown[k]].limits[c]),
                            mark(place_of(report, shown[k], c)));
      }
      text += "\n";
    }
  }
  return text + "  < best of the row, = too close to it to call, * extrapolated: the limit lies "
                "outside the solved\n    powers, ! outside the model (notes)\n";
}

/// A cooler's limit in a column, as a row.
struct RankRow {
  RankedCooler cooler;
  RankColumn column;
  SolvedLimit limit;
  Place place = Place::behind;
};

std::vector<RankRow> rows_of(const RankReport& report, std::size_t cooler) {
  std::vector<RankRow> rows;
  for (std::size_t c = 0; c < report.columns.size(); ++c) {
    rows.push_back({report.coolers[cooler], report.columns[c], report.coolers[cooler].limits[c],
                    place_of(report, cooler, c)});
  }
  return rows;
}

template <RowOf<RankRow> Row, class Visit>
void visit_members(Row& row, const Visit& visit) {
  visit("cooler", row.cooler.name, In::csv);
  visit("mass_kg", row.cooler.mass_kg, In::csv);
  visit("volume_m3", row.cooler.volume_m3, In::csv);
  visit("panel", row.column.panel);
  visit("orientation", row.column.orientation);
  visit("share", row.column.share, In::csv);
  visit_limit(row.limit, visit, "extrapolated");
  visit("place_in_row", row.place, In::csv);
  visit_limit_status(row.limit, visit);
}

} // namespace

template <RowOf<RankedCooler> Row, class Visit>
void visit_members(Row& cooler, const Visit& visit) {
  visit("name", cooler.name);
  visit("title", cooler.title);
  visit("mass_kg", cooler.mass_kg);
  visit("volume_m3", cooler.volume_m3);
  visit("density_kg_per_m3", cooler.density_kg_per_m3);
}

std::optional<std::size_t> best_in(const RankReport& report, std::size_t column) {
  std::optional<std::size_t> best;
  for (std::size_t k = 0; k < report.coolers.size(); ++k) {
    const double power = report.coolers[k].limits[column].power_w.value;
    if (std::isfinite(power) &&
        (!best || power > report.coolers[*best].limits[column].power_w.value)) {
      best = k;
    }
  }
  return best;
}

SolvedLimit weighted_limit(const RankReport& report, const RankedCooler& cooler) {
  SolvedLimit mean;
  mean.power_w = {0.0, 0.0};
  for (std::size_t c = 0; c < report.columns.size(); ++c) {
    const double share = report.columns[c].share;
    if (share > 0.0) {
      mean.power_w.value += share * cooler.limits[c].power_w.value;
      mean.power_w.error += share * cooler.limits[c].power_w.error;
      mean.extrapolated = mean.extrapolated || cooler.limits[c].extrapolated;
      mean.is_bound = mean.is_bound || cooler.limits[c].is_bound;
      mean.standing = std::max(mean.standing, cooler.limits[c].standing);
    }
  }
  return mean;
}

std::vector<std::string> doubts_of_limits(const RankReport& report) {
  std::vector<std::string> doubts;
  for (const RankedCooler& cooler : report.coolers) {
    for (std::size_t c = 0; c < cooler.limits.size(); ++c) {
      if (!cooler.limits[c].doubt.empty()) {
        doubts.push_back(fmt::format("{} in {}, {}: {}.", cooler.name, report.columns[c].panel,
                                     report.columns[c].orientation, cooler.limits[c].doubt));
      }
    }
  }
  return doubts;
}

void sort_coolers(RankReport& report) {
  const auto power = [&](const RankedCooler& cooler) {
    return weighted_limit(report, cooler).power_w.value;
  };
  std::ranges::stable_sort(report.coolers, [&](const RankedCooler& a, const RankedCooler& b) {
    return is_better(power(a), power(b));
  });
}

std::vector<std::size_t> shown_coolers(const RankReport& report) {
  std::vector<std::size_t> shown(std::min(report.coolers.size(), most_shown));
  std::iota(shown.begin(), shown.end(), std::size_t{0});
  for (std::size_t c = 0; c < report.columns.size(); ++c) {
    const std::optional<std::size_t> best = best_in(report, c);
    if (best && std::ranges::count(shown, *best) == 0) {
      shown.push_back(*best);
    }
  }
  std::ranges::sort(shown);
  return shown;
}

std::string rank_table(const RankReport& report) {
  std::string text =
      fmt::format("Coolers in the same conditions. Room {:g} °C, limit {:g} °C at the "
                  "core ({:g} K/W from core to base)\n\n",
                  report.core.room_temperature_c, report.core.limit_temperature_c,
                  report.core.core_to_base_k_per_w);
  const std::vector<std::size_t> shown = shown_coolers(report);
  text += cooler_table(report, shown) + "\n" + limit_table(report, shown) + "\n";
  text += "Recommendation\n" + wrapped("  ", recommendation(report), 2);
  text += report.notes.empty() ? "" : "\nNotes\n";
  for (const std::string& note : report.notes) {
    text += wrapped("  ", note, 4);
  }
  return text + "\n" + short_cautions();
}

std::string rank_csv(const RankReport& report) {
  std::vector<RankRow> rows;
  for (std::size_t k = 0; k < report.coolers.size(); ++k) {
    const std::vector<RankRow> own = rows_of(report, k);
    rows.insert(rows.end(), own.begin(), own.end());
  }
  return csv_table(rows);
}

std::string rank_json(const RankReport& report) {
  Json object = Json::object();
  visit_members(report.core, JsonWriter{object});
  object.add("weights", report.weights_text);
  Json coolers = Json::list();
  for (std::size_t k = 0; k < report.coolers.size(); ++k) {
    const RankedCooler& cooler = report.coolers[k];
    const Estimate mean = weighted_limit(report, cooler).power_w;
    Json entry = row_json(cooler);
    entry.add("weighted_power_limit_w", mean.value);
    entry.add("weighted_power_limit_error_w", mean.error);
    entry.add("power_limits", rows_json(rows_of(report, k)));
    coolers.push(std::move(entry));
  }
  object.add("coolers", std::move(coolers));
  object.add("recommendation", recommendation(report));
  object.add("notes", report.notes);
  return json_text(object);
}

} // namespace tiltfin
