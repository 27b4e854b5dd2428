#pragma once
// The columns of an outcome: a line each.

#include "post/numbers/outcome.hpp"
#include "post/text/columns.hpp"

namespace tiltfin {

template <>
inline constexpr SolveStatus last_value<SolveStatus> = SolveStatus::stopped;
template <>
inline constexpr Standing last_value<Standing> = Standing::outside;
template <>
inline constexpr Stability last_value<Stability> = Stability::unstable;
template <>
inline constexpr Feeding last_value<Feeding> = Feeding::fed;
template <>
inline constexpr SecondSearch last_value<SecondSearch> = SecondSearch::found;
template <>
inline constexpr PowerOrigin last_value<PowerOrigin> = PowerOrigin::beyond_range;
template <>
inline constexpr HeatAccount last_value<HeatAccount> = HeatAccount::section;

template <RowOf<GapFlow> Row, class Visit>
void visit_members(Row& gap, const Visit& visit) {
  visit("name", gap.name);
  visit("net_flow_kg_per_s", gap.net_flow_kg_per_s.value);
  visit("net_flow_error_kg_per_s", gap.net_flow_kg_per_s.error);
  visit("up_flow_g_per_s", gap.up_flow_g_per_s.value);
  visit("up_flow_error_g_per_s", gap.up_flow_g_per_s.error);
  visit("in_flow_g_per_s", gap.in_flow_g_per_s.value);
  visit("in_flow_error_g_per_s", gap.in_flow_g_per_s.error);
  visit("recirculation", gap.recirculation);
  visit("mean_temperature_c", gap.mean_temperature_c);
}

template <RowOf<OpeningFlow> Row, class Visit>
void visit_members(Row& opening, const Visit& visit) {
  visit("name", opening.name);
  visit("in_kg_per_s", opening.in_kg_per_s.value);
  visit("in_error_kg_per_s", opening.in_kg_per_s.error);
  visit("out_kg_per_s", opening.out_kg_per_s.value);
  visit("out_error_kg_per_s", opening.out_kg_per_s.error);
  visit("in_temperature_c", opening.in_temperature_c);
  visit("out_temperature_c", opening.out_temperature_c);
}

template <RowOf<DraftPart> Row, class Visit>
void visit_members(Row& part, const Visit& visit) {
  visit("name", part.name);
  visit("driving_pa", part.driving_pa.value);
  visit("driving_error_pa", part.driving_pa.error);
  visit("lost_pa", part.lost_pa.value);
  visit("lost_error_pa", part.lost_pa.error);
}

template <RowOf<NamedHeat> Row, class Visit>
void visit_members(Row& heat, const Visit& visit) {
  visit("name", heat.name);
  visit("heat_w", heat.heat_w);
  visit("radiation_w", heat.radiation_w);
}

template <RowOf<LinkHeat> Row, class Visit>
void visit_members(Row& link, const Visit& visit) {
  visit("name", link.name);
  visit("heat_w", link.heat_w);
}

/// Columns of heat.csv behind those of the condition.
template <RowOf<HeatRow> Row, class Visit>
void visit_members(Row& heat, const Visit& visit) {
  visit("account", heat.account);
  visit("part", heat.part);
  visit("group", heat.group);
  visit("released_w", heat.released_w);
  visit("convection_w", heat.convection_w.value);
  visit("convection_error_w", heat.convection_w.error);
  visit("radiation_w", heat.radiation_w.value);
  visit("radiation_error_w", heat.radiation_w.error);
  visit("conduction_w", heat.conduction_w.value);
  visit("conduction_error_w", heat.conduction_w.error);
  visit("heat_w", heat.heat_w.value);
  visit("heat_error_w", heat.heat_w.error);
  visit("share_percent", heat.share_percent.value);
  visit("share_error_percent", heat.share_percent.error);
}

/// Columns of fan.csv behind those of the condition.
template <RowOf<FanRow> Row, class Visit>
void visit_members(Row& fan, const Visit& visit) {
  visit("angle_deg", fan.angle_deg);
  visit("weight", fan.weight);
  visit("power_share_percent", fan.power_share_percent);
  visit("ring_power_w", fan.power_w);
  visit("base_rise_k", fan.base_rise_k.value);
  visit("rise_error_k", fan.base_rise_k.error);
  visit("conductance_w_per_k", fan.conductance_w_per_k);
  visit("fins_h_w_per_m2k", fan.fins_h_w_per_m2k);
  visit("through_flow_g_per_s", fan.through_flow_g_per_s);
  visit("radiated_share", fan.radiated_share);
  visit("air_speed_max_m_per_s", fan.air_speed_max_m_per_s);
  visit("section_status", fan.status);
  visit("stability", fan.stability.state);
  visit("growth_per_s", fan.stability.growth_per_s);
  visit("period_s", fan.stability.period_s);
}

template <RowOf<Outcome> Row, class Visit>
void visit_members(Row& outcome, const Visit& visit) {
  visit("panel", outcome.panel);
  visit("orientation", outcome.orientation);
  visit("finish", outcome.finish);
  visit("power_w", outcome.power_w);
  visit("power_is", outcome.origin);
  visit("status", outcome.status);
  visit("standing", outcome.standing);
  visit("stability", outcome.stability.state);
  visit("growth_per_s", outcome.stability.growth_per_s);
  visit("period_s", outcome.stability.period_s);
  visit("searched_rad_per_s", outcome.stability.searched_rad_per_s);
  visit("base_rise_mean_k", outcome.base_rise_mean_k.value);
  visit("base_rise_max_k", outcome.base_rise_max_k);
  visit("steady_rise_k", outcome.steady_rise_k);
  visit("core_rise_k", outcome.core_rise_k);
  visit("rise_error_k", outcome.base_rise_mean_k.error);
  visit("resistance_k_per_w", outcome.resistance_k_per_w.value);
  visit("resistance_error_k_per_w", outcome.resistance_k_per_w.error);
  visit("metal_drop_k", outcome.metal_drop_k.value);
  visit("metal_drop_error_k", outcome.metal_drop_k.error);
  visit("air_speed_max_m_per_s", outcome.air_speed_max_m_per_s.value);
  visit("air_speed_error_m_per_s", outcome.air_speed_max_m_per_s.error);
  visit("feeding", outcome.feeding);
  visit("air_into_fins_c", outcome.air_into_fins_c.value);
  visit("air_into_fins_error_k", outcome.air_into_fins_c.error);
  visit("air_source_c", outcome.air_source_c.value);
  visit("air_source_error_k", outcome.air_source_c.error);
  visit("through_flow_g_per_s", outcome.through_flow_g_per_s.value);
  visit("through_flow_error_g_per_s", outcome.through_flow_g_per_s.error);
  visit("in_flow_g_per_s", outcome.in_flow_g_per_s.value);
  visit("in_flow_error_g_per_s", outcome.in_flow_g_per_s.error);
  visit("crossing_flow_g_per_s", outcome.crossing_flow_g_per_s.value);
  visit("crossing_flow_error_g_per_s", outcome.crossing_flow_g_per_s.error);
  visit("bypass_flow_g_per_s", outcome.bypass_flow_g_per_s.value);
  visit("bypass_flow_error_g_per_s", outcome.bypass_flow_g_per_s.error);
  visit("re_entering_share", outcome.re_entering_share);
  visit("case_re_entering_share", outcome.case_re_entering_share);
  visit("recirculation", outcome.recirculation);
  visit("radiated_share", outcome.radiated_share);
  visit("film_temperature_c", outcome.film_temperature_c);
  visit("expansion_number", outcome.expansion_number);
  visit("rayleigh_gap", outcome.rayleigh_gap);
  visit("fluctuation_k", outcome.fluctuation_k);
  visit("mean_over_s", outcome.mean_over_s);
  visit("balance_error", outcome.balance_error);
  visit("mass_error", outcome.mass_error);
  visit("undershoot_k", outcome.undershoot_k);
  visit("heat_cell_peclet", outcome.heat_cell_peclet);
  visit("second_flow", outcome.second.search);
  visit("second_rise_k", outcome.second.rise_k);
  visit("second_status", outcome.second.status);
  visit("second_stability", outcome.second.stability);
  visit("cells", outcome.cells);
  visit("steps", outcome.steps);
  visit("factorisations", outcome.factorisations);
  visit("heat", outcome.heat, In::json);
  visit("fan", outcome.fan, In::json);
}

/// The lists of named parts: what one is called in a column of summary.csv, the key of the list in
/// JSON, the list.
template <RowOf<Outcome> Row, class Visit>
void visit_lists(Row& outcome, const Visit& visit) {
  visit("gap", "gaps", outcome.gaps);
  visit("opening", "openings", outcome.openings);
  visit("draft", "draft", outcome.draft);
  visit("solid", "solids", outcome.solids);
  visit("side", "sides", outcome.sides);
  visit("link", "links", outcome.links);
}

} // namespace tiltfin
