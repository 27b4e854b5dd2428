#pragma once
// The columns of explanations: a line each.

#include "post/reports/why.hpp"
#include "post/text/columns.hpp"

namespace tiltfin {

template <>
inline constexpr Cause last_value<Cause> = Cause::residual;

template <RowOf<CausePart> Row, class Visit>
void visit_members(Row& part, const Visit& visit) {
  visit("cause", part.cause);
  visit("rise_k", part.rise_k.value);
  visit("rise_error_k", part.rise_k.error);
  visit("limit_w", part.limit_w.value);
  visit("limit_error_w", part.limit_w.error);
  visit("here", part.here);
  visit("there", part.there);
  visit("named", part.is_named);
}

template <RowOf<Why> Row, class Visit>
void visit_members(Row& why, const Visit& visit) {
  visit("panel", why.panel);
  visit("orientation", why.orientation);
  visit("finish", why.finish);
  visit("than_panel", why.than_panel);
  visit("than_orientation", why.than_orientation);
  visit("power_w", why.power_w);
  visit("base_rise_k", why.base_rise_k);
  visit("than_base_rise_k", why.than_base_rise_k);
  visit("power_limit_w", why.power_limit_w);
  visit("than_power_limit_w", why.than_power_limit_w);
  visit("rise_k", why.rise_k.value, In::json);
  visit("rise_error_k", why.rise_k.error, In::json);
  visit("limit_w", why.limit_w.value, In::json);
  visit("limit_error_w", why.limit_w.error, In::json);
  visit("radiated_share", why.radiated_share, In::json);
  visit("than_radiated_share", why.than_radiated_share, In::json);
  visit("fins_buoyancy_pa", why.fins_buoyancy_pa, In::json);
  visit("than_fins_buoyancy_pa", why.than_fins_buoyancy_pa, In::json);
  visit("other_paths", why.other_paths, In::json);
  visit("parts", why.parts, In::json);
  visit("sentence", why.sentence, In::json);
  visit("paragraph", why.paragraph, In::json);
}

} // namespace tiltfin
