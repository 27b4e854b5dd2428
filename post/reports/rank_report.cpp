#include "post/reports/rank_report.hpp"

#include "post/reports/table_parts.hpp"
#include "post/text/json_parts.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <limits>

namespace tiltfin {
namespace {

constexpr std::size_t coolers_per_block = 4;

/// Place of the column's highest limit; none when no cooler has one.
std::size_t best_in(const RankReport& report, std::size_t column) {
  std::size_t best = report.coolers.size();
  for (std::size_t k = 0; k < report.coolers.size(); ++k) {
    const double power = report.coolers[k].limits[column].power_w;
    if (std::isfinite(power) &&
        (best == report.coolers.size() || power > report.coolers[best].limits[column].power_w)) {
      best = k;
    }
  }
  return best;
}

/// "<" for the best of a column, "=" for what cannot be told from it.
const char* mark(const RankReport& report, std::size_t cooler, std::size_t column) {
  const std::size_t best = best_in(report, column);
  if (best == report.coolers.size()) {
    return " ";
  }
  if (cooler == best) {
    return "<";
  }
  const RankLimit& own = report.coolers[cooler].limits[column];
  return std::isfinite(own.power_w) && is_too_close(own, report.coolers[best].limits[column]) ? "="
                                                                                              : " ";
}

std::string show_limit(const RankLimit& limit) {
  const bool is_starred = limit.extrapolated && std::isfinite(limit.power_w);
  return with_error(limit.power_w, limit.error_w) + (is_starred ? "*" : " ");
}

std::string letter(std::size_t k) {
  return k < 26 ? std::string(1, static_cast<char>('A' + k)) : fmt::format("{}", k + 1);
}

std::string show_grams(double mass_kg) {
  return std::isfinite(mass_kg) ? fmt::format("{:.0f}", 1000.0 * mass_kg) : "-";
}

std::string cooler_table(const RankReport& report) {
  std::string text = fmt::format("     {:<30} {:>8} {:>11} {:>9} {:>16} {:>9}\n", "cooler",
                                 "mass, g", "metal, cm3", "kg/m3", "weighted, W", "least, W");
  for (std::size_t k = 0; k < report.coolers.size(); ++k) {
    const RankedCooler& cooler = report.coolers[k];
    double least = std::numeric_limits<double>::infinity();
    for (const RankLimit& limit : cooler.limits) {
      least = std::isfinite(limit.power_w) ? std::min(least, limit.power_w) : least;
    }
    std::string name = cooler.name;
    name = name.size() > 30 ? name.substr(0, 29) + "~" : name;
    text += fmt::format(
        "  {:<2} {:<30} {:>8} {:>11} {:>9} {:>16} {:>9}\n", letter(k), name,
        show_grams(cooler.mass_kg),
        std::isfinite(cooler.volume_m3) ? fmt::format("{:.1f}", 1e6 * cooler.volume_m3) : "-",
        std::isfinite(cooler.density_kg_per_m3) ? fmt::format("{:g}", cooler.density_kg_per_m3)
                                                : "-",
        show_limit(weighted_limit(report, cooler)),
        std::isfinite(least) ? fmt::format("{:.1f}", least) : "-");
  }
  return text + "  weighted: " + report.weights_text + "\n";
}

std::string limit_table(const RankReport& report) {
  std::string text = "Power limit, W (± estimated error of the mesh)\n";
  for (std::size_t first = 0; first < report.coolers.size(); first += coolers_per_block) {
    const std::size_t end = std::min(first + coolers_per_block, report.coolers.size());
    text += fmt::format("  {:<19} {:<13}", "panel", "orientation");
    for (std::size_t k = first; k < end; ++k) {
      text += fmt::format(" {:>15} ", letter(k));
    }
    text += "\n";
    for (std::size_t c = 0; c < report.columns.size(); ++c) {
      text += row_head(report.columns[c].panel, report.columns[c].orientation);
      for (std::size_t k = first; k < end; ++k) {
        text +=
            fmt::format(" {:>15}{}", show_limit(report.coolers[k].limits[c]), mark(report, k, c));
      }
      text += "\n";
    }
  }
  return text + "  < best of the row, = too close to it to call, * extrapolated: the limit lies "
                "outside the solved\n    powers\n";
}

/// "in off, flat-down and ..." where another cooler than the first is clearly best.
std::string exceptions(const RankReport& report) {
  std::string text;
  for (std::size_t c = 0; c < report.columns.size(); ++c) {
    const std::size_t best = best_in(report, c);
    if (best == report.coolers.size() || best == 0 ||
        is_too_close(report.coolers[0].limits[c], report.coolers[best].limits[c])) {
      continue;
    }
    text += fmt::format(
        " But in {}, {} {} takes {:.0f} % more than it.", report.columns[c].panel,
        report.columns[c].orientation, report.coolers[best].name,
        100.0 *
            (report.coolers[best].limits[c].power_w / report.coolers[0].limits[c].power_w - 1.0));
  }
  return text;
}

/// What holds of the whole where some limits come from flows whose stability was skipped.
std::string quick_look(const RankReport& report) {
  const bool any = std::ranges::any_of(report.coolers, [](const RankedCooler& cooler) {
    return std::ranges::any_of(cooler.limits, &RankLimit::skips_stability);
  });
  return any ? " A quick look: stability was not examined everywhere." : "";
}

/// Coolers that cannot be told from the best, and the best of the others (null: none).
struct Rivals {
  std::vector<const RankedCooler*> close;
  const RankedCooler* next = nullptr;
};

Rivals rivals_of(const RankReport& report, const RankLimit& best) {
  Rivals rivals;
  for (std::size_t k = 1; k < report.coolers.size(); ++k) {
    const RankLimit other = weighted_limit(report, report.coolers[k]);
    if (!std::isfinite(other.power_w)) {
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

std::string close_text(const RankedCooler& first, const RankLimit& best,
                       const std::vector<const RankedCooler*>& close) {
  const RankedCooler* lightest = &first;
  std::string text = "Too close to call: " + first.name;
  for (const RankedCooler* cooler : close) {
    text += " and " + cooler->name;
    lightest = cooler->mass_kg < lightest->mass_kg ? cooler : lightest;
  }
  text += fmt::format(" ({} W at best); their error bars overlap.",
                      with_error(best.power_w, best.error_w));
  if (std::isfinite(lightest->mass_kg)) {
    text += fmt::format(" {} has the least metal of them, {} g.", lightest->name,
                        show_grams(lightest->mass_kg));
  }
  return text + " Finer meshes (solve --accuracy) may part them.";
}

} // namespace

bool is_too_close(const RankLimit& a, const RankLimit& b) {
  const double bars =
      (std::isfinite(a.error_w) ? a.error_w : 0.0) + (std::isfinite(b.error_w) ? b.error_w : 0.0);
  return std::abs(a.power_w - b.power_w) <= bars;
}

RankLimit weighted_limit(const RankReport& report, const RankedCooler& cooler) {
  RankLimit mean;
  for (std::size_t c = 0; c < report.columns.size(); ++c) {
    const double share = report.columns[c].share;
    if (share > 0.0) {
      mean.power_w += share * cooler.limits[c].power_w;
      mean.error_w += share * cooler.limits[c].error_w;
      mean.extrapolated = mean.extrapolated || cooler.limits[c].extrapolated;
    }
  }
  return mean;
}

void sort_coolers(RankReport& report) {
  std::ranges::stable_sort(report.coolers, [&](const RankedCooler& a, const RankedCooler& b) {
    const auto key = [&](const RankedCooler& cooler) {
      const double power = weighted_limit(report, cooler).power_w;
      return std::isfinite(power) ? power : -1.0;
    };
    return key(a) > key(b);
  });
}

std::string recommendation(const RankReport& report) {
  const RankedCooler& first = report.coolers.front();
  const RankLimit best = weighted_limit(report, first);
  if (!std::isfinite(best.power_w)) {
    return "No cooler has a power limit in every condition that counts: nothing to recommend.";
  }
  const Rivals rivals = rivals_of(report, best);
  const bool is_close = !rivals.close.empty();
  std::string text = is_close ? close_text(first, best, rivals.close)
                              : fmt::format("Take {}: {} W in the weighted mean", first.name,
                                            with_error(best.power_w, best.error_w));
  if (rivals.next != nullptr) {
    const RankLimit other = weighted_limit(report, *rivals.next);
    const double margin = 100.0 * (best.power_w / other.power_w - 1.0);
    const double uncertain = 100.0 * (best.error_w + other.error_w) / other.power_w;
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

std::string rank_table(const RankReport& report) {
  std::string text = fmt::format(
      "Coolers in the same conditions. Room {:g} °C, limit {:g} °C at the "
      "core ({:g} K/W from die to base)\n\n",
      report.room_temperature_c, report.limit_temperature_c, report.die_to_base_k_per_w);
  text += cooler_table(report) + "\n" + limit_table(report) + "\n";
  text += "Recommendation\n" + wrapped("  ", recommendation(report), 2);
  text += report.notes.empty() ? "" : "\nNotes\n";
  for (const std::string& note : report.notes) {
    text += wrapped("  ", note, 4);
  }
  return text + "\n" + short_cautions();
}

std::string rank_csv(const RankReport& report) {
  std::string text =
      "cooler,mass_kg,volume_m3,panel,orientation,share,power_limit_w,"
      "power_limit_error_w,power_limit_extrapolated,place_in_row,status,stability_examined\n";
  for (std::size_t k = 0; k < report.coolers.size(); ++k) {
    const RankedCooler& cooler = report.coolers[k];
    for (std::size_t c = 0; c < report.columns.size(); ++c) {
      const RankLimit& limit = cooler.limits[c];
      const std::string place = mark(report, k, c);
      text +=
          csv_line({csv_text(cooler.name), csv_value(cooler.mass_kg), csv_value(cooler.volume_m3),
                    csv_text(report.columns[c].panel), csv_text(report.columns[c].orientation),
                    csv_value(report.columns[c].share), csv_value(limit.power_w),
                    csv_value(limit.error_w), limit.extrapolated ? "yes" : "no",
                    place == "<" ? "best" : (place == "=" ? "too close to call" : ""),
                    csv_text(limit.status), limit.skips_stability ? "no" : "yes"});
    }
  }
  return text;
}

std::string rank_json(const RankReport& report) {
  Json object;
  object["room_temperature_c"] = report.room_temperature_c;
  object["limit_temperature_c"] = report.limit_temperature_c;
  object["die_to_base_k_per_w"] = report.die_to_base_k_per_w;
  object["weights"] = report.weights_text;
  object["coolers"] = Json::array();
  for (std::size_t k = 0; k < report.coolers.size(); ++k) {
    const RankedCooler& cooler = report.coolers[k];
    const RankLimit mean = weighted_limit(report, cooler);
    Json entry{{"name", cooler.name},
               {"title", cooler.title},
               {"mass_kg", cooler.mass_kg},
               {"volume_m3", cooler.volume_m3},
               {"density_kg_per_m3", cooler.density_kg_per_m3},
               {"weighted_power_limit_w", mean.power_w},
               {"weighted_power_limit_error_w", mean.error_w}};
    entry["power_limits"] = Json::array();
    for (std::size_t c = 0; c < report.columns.size(); ++c) {
      const RankLimit& limit = cooler.limits[c];
      entry["power_limits"].push_back(Json{{"panel", report.columns[c].panel},
                                           {"orientation", report.columns[c].orientation},
                                           {"power_limit_w", limit.power_w},
                                           {"power_limit_error_w", limit.error_w},
                                           {"extrapolated", limit.extrapolated},
                                           {"status", limit.status},
                                           {"stability_examined", !limit.skips_stability}});
    }
    object["coolers"].push_back(entry);
  }
  object["recommendation"] = recommendation(report);
  object["notes"] = report.notes;
  return json_text(object);
}

} // namespace tiltfin
