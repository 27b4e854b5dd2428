#include "post/page/bars.hpp"
#include "post/page/figure.hpp"
#include "post/page/parts.hpp"
#include "post/reports/table_parts.hpp"

#include <fmt/format.h>

#include <cmath>

namespace tiltfin {
namespace {

Estimate estimate_at(const Json& object, const char* value, const char* error) {
  return {object.at(value).number(), object.at(error).number()};
}

std::string lever_colour(const std::string& verdict) {
  if (verdict == "helps") {
    return cooler_colour;
  }
  return verdict == "hurts" ? warmer_colour : unsure_colour;
}

Bar lever_bar(const Json& lever) {
  const Estimate gain = estimate_at(lever, "gain_w", "gain_error_w");
  return {.label = fmt::format("{}: {}", lever.at("lever").text(), lever.at("change").text()),
          .value = fmt::format("{}{} W", gain.value > 0.0 ? "+" : "", with_error(gain)),
          .pieces = {{0.0, gain.value, lever_colour(lever.at("verdict").text())}},
          .tip = gain};
}

PageTable lever_numbers(const Json& place) {
  PageTable table;
  table.caption = "Every change that was tried, or why it was not";
  table.head = {"change",  "lever",         "verdict",      "gain, W",
                "gain, K", "limit then, W", "rise then, K", "status"};
  for (const Json& lever : place.at("levers").items()) {
    table.rows.push_back(
        {lever.at("change").text(), lever.at("lever").text(), lever.at("verdict").text(),
         with_error(estimate_at(lever, "gain_w", "gain_error_w")),
         with_error(estimate_at(lever, "gain_k", "gain_error_k")),
         with_error(estimate_at(lever, "power_limit_w", "power_limit_error_w")),
         with_error(estimate_at(lever, "rise_k", "rise_error_k")), lever.at("status").text()});
  }
  return table;
}

std::string lever_place(const PageResults& results, const Json& place, bool is_open) {
  const std::string who =
      place_name(results, place.at("panel").text(), place.at("orientation").text());
  BarChart chart{.title = "What single changes bring: " + who,
                 .unit = "change of the power limit, W",
                 .bars = {},
                 .legend = {{"helps", cooler_colour},
                            {"hurts", warmer_colour},
                            {"smaller than its error", unsure_colour}}};
  for (const Json& lever : place.at("levers").items()) {
    if (std::isfinite(lever.at("gain_w").number())) {
      chart.bars.push_back(lever_bar(lever));
    }
  }
  const std::string limit =
      with_unit(estimate_at(place, "power_limit_w", "power_limit_error_w"), "W");
  std::string text;
  if (chart.bars.empty()) {
    text = paragraph("No change could be tried.") + table_html(lever_numbers(place));
  } else {
    text = figure_html({.name = "levers-" + element_name(who),
                        .caption = fmt::format("What single changes bring {}, which takes {} as "
                                               "it is.",
                                               who, limit),
                        .svg = bars_svg(chart),
                        .is_inline = true,
                        .table = lever_numbers(place)});
  }
  return opening(fmt::format("{}: {} as it is", who, limit), text, is_open);
}

} // namespace

std::string levers_part(const PageResults& results) {
  if (!results.levers) {
    return "";
  }
  std::string text = paragraph(results.levers->at("sentence").text());
  bool is_open = true;
  for (const Json& place : results.levers->at("places").items()) {
    text += lever_place(results, place, is_open);
    is_open = false;
  }
  std::vector<std::string> notes;
  for (const Json& note : results.levers->at("notes").items()) {
    notes.push_back(note.text());
  }
  return text + bullet_list(notes);
}

} // namespace tiltfin
