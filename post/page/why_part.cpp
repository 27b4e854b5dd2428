#include "post/page/bars.hpp"
#include "post/page/figure.hpp"
#include "post/page/parts.hpp"
#include "post/reports/table_parts.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <cstdlib>

namespace tiltfin {
namespace {

/// How a cause is told to whoever has not read the documentation.
std::string told(Cause cause, const std::string& other_paths) {
  switch (cause) {
  case Cause::feeding_air:
    return "temperature of the air that feeds the fins";
  case Cause::through_flow:
    return "fresh air through the cooler";
  case Cause::transfer:
    return "how well the fins give heat to that air";
  case Cause::other_air:
    return "heat to air that stands, turns or passes by";
  case Cause::radiation:
    return "heat radiated by the cooler";
  case Cause::other_paths:
    return other_paths.empty() ? "heat by other paths" : "heat by other paths: " + other_paths;
  case Cause::metal:
    return "conduction in the metal";
  case Cause::not_closed:
    return "heat that the mean leaves open";
  case Cause::growth:
    return "how the rise grows with power";
  case Cause::residual:
    return "what the trends miss";
  }
  return "";
}

const char* unit_of(Cause cause) {
  switch (cause) {
  case Cause::feeding_air:
    return "°C";
  case Cause::through_flow:
    return "g/s";
  case Cause::transfer:
  case Cause::metal:
    return "K/W";
  case Cause::other_air:
  case Cause::radiation:
  case Cause::other_paths:
    return "W/K";
  case Cause::not_closed:
    return "%";
  default:
    return "";
  }
}

std::string signed_kelvins(const Estimate& estimate) {
  return fmt::format("{}{} K", estimate.value > 0.0 ? "+" : "", with_error(estimate));
}

/// Largest first, without those that are nothing.
std::vector<const CausePart*> parts_of_rise(const Why& why) {
  constexpr double least_k = 0.05; // shown as nothing
  std::vector<const CausePart*> parts;
  for (const CausePart& part : why.parts) {
    if (std::abs(part.rise_k.value) >= least_k) {
      parts.push_back(&part);
    }
  }
  std::ranges::sort(parts, std::ranges::greater{},
                    [](const CausePart* part) { return std::abs(part->rise_k.value); });
  return parts;
}

BarChart waterfall(const PageResults& results, const Why& why) {
  const std::string here = place_name(results, why.panel, why.orientation);
  const std::string there = place_name(results, why.than_panel, why.than_orientation);
  BarChart chart{.title = fmt::format("From {} to {}, K at {:g} W", there, here, why.power_w),
                 .unit = "base above the room, K",
                 .bars = {},
                 .legend = {{"makes warmer", warmer_colour}, {"makes cooler", cooler_colour}}};
  chart.bars.push_back({.label = there,
                        .value = fmt::format("{:.1f} K", why.than_base_rise_k),
                        .pieces = {{0.0, why.than_base_rise_k, whole_colour}},
                        .is_total = true});
  double at = why.than_base_rise_k;
  for (const CausePart* part : parts_of_rise(why)) {
    const double next = at + part->rise_k.value;
    chart.bars.push_back({.label = told(part->cause, why.other_paths),
                          .value = signed_kelvins(part->rise_k),
                          .pieces = {{at, next, next > at ? warmer_colour : cooler_colour}}});
    at = next;
  }
  chart.bars.push_back({.label = here,
                        .value = fmt::format("{:.1f} K", why.base_rise_k),
                        .pieces = {{0.0, why.base_rise_k, whole_colour}},
                        .is_total = true});
  return chart;
}

PageTable cause_numbers(const Why& why) {
  PageTable table;
  table.caption = "All causes (+ K: warmer, + W: higher limit)";
  table.head = {"cause", "K", "W", "here", "there", "unit", "named"};
  for (const CausePart& part : why.parts) {
    table.rows.push_back({told(part.cause, why.other_paths), with_error(part.rise_k),
                          with_error(part.limit_w), number_or_dash(part.here, 3),
                          number_or_dash(part.there, 3), unit_of(part.cause),
                          part.is_named ? "yes" : "no"});
  }
  table.rows.push_back(
      {"difference", with_error(why.rise_k), with_error(why.limit_w), "", "", "", ""});
  return table;
}

std::string comparison_html(const PageResults& results, const Why& why, bool is_open) {
  const std::string here = place_name(results, why.panel, why.orientation);
  const std::string there = place_name(results, why.than_panel, why.than_orientation);
  const bool is_turned = why.panel == why.than_panel;
  std::string text = paragraph((is_turned ? "Panel " : "") + why.paragraph);
  if (!why.parts.empty()) {
    text += figure_html(
        {.name = "why-" + element_name(here + "-than-" + there),
         .caption = fmt::format("Why {} is {} than {} at {:g} W, cause by cause.", here,
                                why.rise_k.value < 0.0 ? "cooler" : "warmer", there, why.power_w),
         .svg = bars_svg(waterfall(results, why)),
         .is_inline = true,
         .table = cause_numbers(why)});
  }
  return opening(fmt::format("{} against {}: {}, {}{} W of power limit", here,
                             is_turned ? why.than_orientation : there, signed_kelvins(why.rise_k),
                             why.limit_w.value > 0.0 ? "+" : "", with_error(why.limit_w)),
                 text, is_open);
}

} // namespace

std::string why_part(const PageResults& results) {
  if (results.whys.empty()) {
    return "";
  }
  std::vector<const Why*> order;
  for (const Why& why : results.whys) {
    order.push_back(&why);
  }
  // What costs most stands first; turning before panels where both cost the same.
  std::ranges::stable_sort(order, {}, [](const Why* why) {
    return std::isfinite(why->limit_w.value) ? -std::abs(why->limit_w.value) : 0.0;
  });
  std::string text = paragraph(
      "A cooler's base is as warm as the paths that its heat can take are poor. Here the paths of "
      "one way to stand are put, one after the other, in the place of those of another one: each "
      "bar is what that changes. Air and heat hang together, so this counts shares rather than "
      "causes in the strict sense.",
      "soft");
  for (const Why* why : order) {
    text += comparison_html(results, *why, why == order.front());
  }
  return text;
}

} // namespace tiltfin
