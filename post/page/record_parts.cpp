// Parts that keep the record: every condition, what was left out, how to get it again.
#include "post/page/assets.hpp"
#include "post/page/html.hpp"
#include "post/page/parts.hpp"
#include "post/reports/table_parts.hpp"

#include <fmt/format.h>

#include <algorithm>

namespace tiltfin {
namespace {

std::string three_decimals(const Estimate& estimate) {
  return std::isfinite(estimate.error)
             ? fmt::format("{:.3f} ±{:.3f}", estimate.value, std::max(estimate.error, 1e-3))
             : number_or_dash(estimate.value, 3);
}

bool has_stability(const PageResults& results, Stability stability) {
  return std::ranges::any_of(results.outcomes, [stability](const Outcome& outcome) {
    return is_listed(outcome) && outcome.stability.state == stability;
  });
}

/// The command, with the options that results show by themselves.
std::string solve_command(const PageResults& results) {
  std::string command = "tiltfin solve case.toml -o DIRECTORY";
  if (has_stability(results, Stability::skipped)) {
    command += " --skip-stability";
  }
  if (std::ranges::all_of(results.outcomes, is_listed)) {
    command += " --listed-powers-only";
  }
  const bool has_second = std::ranges::any_of(results.outcomes, [](const Outcome& outcome) {
    return outcome.second.search != SecondSearch::not_made;
  });
  return command + (has_second ? " --start WHERE" : "");
}

} // namespace

std::string conditions_part(const PageResults& results) {
  if (results.outcomes.empty()) {
    return "";
  }
  const CoreLimit& core = results.context.core;
  PageTable table;
  table.caption = "Every condition";
  table.has_filter = true;
  table.head = {"stands",         "power, W",  "rise, K",          "core, °C",      "K/W",
                "fresh air, g/s", "feeding",   "air, m/s",         "recirculation", "radiated",
                "status",         "stability", "expansion number", "power is",      "cells"};
  for (const Outcome& outcome : results.outcomes) {
    table.rows.push_back(
        {place_name(results, outcome.panel, outcome.orientation),
         fmt::format("{:g}", outcome.power_w), with_error(outcome.base_rise_mean_k),
         number_or_dash(core.room_temperature_c + outcome.core_rise_k, 1),
         three_decimals(outcome.resistance_k_per_w), three_decimals(outcome.through_flow_g_per_s),
         name(outcome.feeding), three_decimals(outcome.air_speed_max_m_per_s),
         show_percent(outcome.recirculation), show_percent(outcome.radiated_share),
         with_standing(name(outcome.status), outcome.standing), name(outcome.stability.state),
         number_or_dash(outcome.expansion_number, 3), name(outcome.origin),
         fmt::format("{}", outcome.cells)});
  }
  std::string text =
      table_html(table) + paragraph("All columns, with their meaning in post/README.md of the "
                                    "program, are in summary.csv.",
                                    "soft");
  const std::string& fan = text_of(results.files, "fan.csv");
  if (!fan.empty()) {
    PageTable sections = table_of_csv(fan);
    sections.caption = "The sections of every fan, and what each takes of the power";
    text += opening("What stands for a ring upright: a fan of sections", table_html(sections));
  }
  return text;
}

std::string notes_part(const PageResults& results) {
  return bullet_list(results.context.notes);
}

std::string again_part(const PageResults& results) {
  std::string text = paragraph(fmt::format("Made by tiltfin {} from the files beside this page. "
                                           "The same case gives the same bytes.",
                                           program_version()));
  std::string commands;
  if (!results.outcomes.empty()) {
    commands += solve_command(results) + "\n";
  }
  if (!text_of(results.files, "tilts.csv").empty() && results.outcomes.empty()) {
    commands += "tiltfin solve case.toml -o DIRECTORY --tilts FROM:STEP:TO\n";
  }
  commands += "tiltfin report DIRECTORY\n";
  text += fmt::format("<pre tabindex=\"0\"><code>{}</code></pre>\n", lines_escaped(commands));
  text += paragraph("Options are read off the results. --accuracy and --tilts leave no mark in "
                    "them.",
                    "soft");
  const std::string& the_case = text_of(results.files, "case.toml");
  if (!the_case.empty()) {
    text += opening(
        "The case file, case.toml",
        fmt::format("<pre tabindex=\"0\"><code>{}</code></pre>\n", lines_escaped(the_case)));
  }
  return text;
}

} // namespace tiltfin
