#include "post/page/html.hpp"
#include "post/page/parts.hpp"
#include "post/page/stacks.hpp"

#include <algorithm>
#include <array>
#include <cmath>

namespace tiltfin {
namespace {

/// A group of heat.csv with its name and two colours: of what goes to the air, darker, and of what
/// is radiated.
struct HeatGroup {
  const char* group;
  const char* label;
  const char* to_air;
  const char* radiated;
};

constexpr std::array<HeatGroup, 8> heat_groups{
    {{"fin", "fins", "#0b5c8a", "#7db4d6"},
     {"base", "base", "#46557a", "#a3aecb"},
     {"source", "source", "#8f2f2a", "#d6938f"},
     {"board", "board", "#8a6f12", "#d9c46a"},
     {"wall", "case walls", "#68686f", "#b5b5ba"},
     {"other", "other parts", "#6a4a86", "#c0a9d4"},
     {"room", "what stands in the room", "#2f6b4f", "#9bc7b1"},
     {"side", "sides of the section", "#7a4a2a", "#cfa98c"}}};

constexpr const char* conducted_colour = "#cc79a7";

void add_heat(std::vector<StackSegment>& segments, const Outcome& outcome, const HeatGroup& group) {
  StackSegment air{std::string(group.label) + " to the air", group.to_air, {nan, nan}};
  StackSegment radiated{std::string(group.label) + " by radiation", group.radiated, {nan, nan}};
  StackSegment conducted{std::string(group.label) + " by contact", conducted_colour, {nan, nan}};
  for (const HeatRow& row : outcome.heat) {
    if (row.account == HeatAccount::groups && row.group == group.group) {
      air.value = row.convection_w;
      radiated.value = row.radiation_w;
      conducted.value = row.conduction_w;
    }
  }
  segments.insert(segments.end(), {air, radiated, conducted});
}

std::vector<StackSegment> heat_segments(const Outcome& outcome) {
  std::vector<StackSegment> segments;
  for (const HeatGroup& group : heat_groups) {
    add_heat(segments, outcome, group);
  }
  return segments;
}

/// Not below zero, as flows are.
Estimate less_than_all(const Estimate& all, const Estimate& part) {
  return {std::max(0.0, all.value - part.value), std::hypot(all.bar(), part.bar())};
}

std::vector<StackSegment> air_segments(const Outcome& outcome) {
  return {{"fresh air through the cooler", "#0b5c8a", outcome.through_flow_g_per_s},
          {"other air that enters it: eddies, its own warm air", "#d58a3c",
           less_than_all(outcome.in_flow_g_per_s, outcome.through_flow_g_per_s)},
          {"past the cooler, inside the machine", "#a3aecb", outcome.bypass_flow_g_per_s}};
}

} // namespace

std::string heat_part(const PageResults& results) {
  const std::string html = stacks_html(
      results, {.name = "heat-budget",
                .caption = "Where the heat leaves what is warm: to the air (dark) and by "
                           "radiation (pale). Left of zero: taken up.",
                .unit = "W",
                .segments = heat_segments});
  return html.empty() ? ""
                      : html + paragraph("A wall that takes up radiation and gives it to the air "
                                         "has both: they cancel. Every part is in heat.csv.",
                                         "soft");
}

std::string air_part(const PageResults& results) {
  if (std::ranges::none_of(results.outcomes, [](const Outcome& outcome) {
        return outcome.feeding != Feeding::none;
      })) {
    return "";
  }
  return stacks_html(results, {.name = "air-budget",
                               .caption = "How much air moves, and whether it is fresh.",
                               .unit = "g/s",
                               .segments = air_segments});
}

} // namespace tiltfin
