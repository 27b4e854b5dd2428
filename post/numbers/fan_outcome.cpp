#include "post/numbers/fan_outcome.hpp"

#include "post/numbers/fan_rise.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <numeric>

namespace tiltfin {
namespace {

/// Rises further apart than this are said: the condition's error bar is a per cent at best.
constexpr double rises_told_apart = 0.01;

/// Sections of a fan with what each is as a condition of its own.
struct Fan {
  std::vector<FanPart> parts;
  std::vector<Outcome> outcomes;
  std::vector<double> rises;
  double power_w = 0.0;
};

using Weights = std::vector<double>;

Weights weights_of(const Fan& fan) {
  Weights weights;
  for (const FanPart& part : fan.parts) {
    weights.push_back(part.weight);
  }
  return weights;
}

/// By weight times something of the outcome; by weight alone where nothing has any of it.
template <class Of>
Weights weights_by(const Fan& fan, const Of& of) {
  Weights weights = weights_of(fan);
  Weights by = weights;
  for (std::size_t k = 0; k < by.size(); ++k) {
    const double value = of(fan.outcomes[k]);
    by[k] *= std::isfinite(value) && value > 0.0 ? value : 0.0;
  }
  return std::accumulate(by.begin(), by.end(), 0.0) > 0.0 ? by : weights;
}

Estimate estimate_of(const Estimate& estimate) {
  return estimate;
}
Estimate estimate_of(double value) {
  return {value, 0.0};
}

/// Weighted sum over the sections that have a number, and of the weights.
template <class Of>
std::pair<Estimate, double> weighted(const Fan& fan, const Weights& weights, const Of& of) {
  Estimate sum{0.0, 0.0};
  double all = 0.0;
  for (std::size_t k = 0; k < fan.outcomes.size(); ++k) {
    const Estimate one = estimate_of(of(fan.outcomes[k]));
    if (std::isfinite(one.value)) {
      sum.value += weights[k] * one.value;
      sum.error += weights[k] * one.error;
      all += weights[k];
    }
  }
  return all > 0.0 ? std::pair{sum, all} : std::pair{Estimate{nan, nan}, 1.0};
}

void put(Estimate& to, const Estimate& value) {
  to = value;
}
void put(double& to, const Estimate& value) {
  to = value.value;
}

/// Sets what `of` refers to in `whole` to the sum of the sections' by weight.
template <class Of>
void add_up(const Fan& fan, Outcome& whole, const Of& of) {
  put(of(whole), weighted(fan, weights_of(fan), of).first);
}

/// The same to their mean.
template <class Of>
void average(const Fan& fan, const Weights& weights, Outcome& whole, const Of& of) {
  const auto [sum, all] = weighted(fan, weights, of);
  put(of(whole), {sum.value / all, sum.error / all});
}

/// The same to the largest of them.
template <class Of>
void take_largest(const Fan& fan, Outcome& whole, const Of& of) {
  for (const Outcome& outcome : fan.outcomes) {
    if (!(estimate_of(of(whole)).value >= estimate_of(of(outcome)).value)) { // NaN gives way
      of(whole) = of(outcome);
    }
  }
}

/// A member of an outcome of either kind of constness.
template <auto Member>
constexpr auto own = [](auto& outcome) -> auto& {
  return outcome.*Member;
};

/// A member of a part of a list of an outcome.
template <auto List, auto Member>
auto listed(std::size_t k) {
  return [k](auto& outcome) -> auto& {
    return (outcome.*List)[k].*Member;
  };
}

void add_gaps(const Fan& fan, Outcome& whole) {
  for (std::size_t k = 0; k < whole.gaps.size(); ++k) {
    const Weights by_flow = weights_by(
        fan, [k](const Outcome& outcome) { return outcome.gaps[k].in_flow_g_per_s.value; });
    add_up(fan, whole, listed<&Outcome::gaps, &GapFlow::net_flow_kg_per_s>(k));
    add_up(fan, whole, listed<&Outcome::gaps, &GapFlow::up_flow_g_per_s>(k));
    add_up(fan, whole, listed<&Outcome::gaps, &GapFlow::in_flow_g_per_s>(k));
    average(fan, by_flow, whole, listed<&Outcome::gaps, &GapFlow::recirculation>(k));
    average(fan, by_flow, whole, listed<&Outcome::gaps, &GapFlow::mean_temperature_c>(k));
  }
}

void add_openings(const Fan& fan, Outcome& whole) {
  constexpr auto openings = &Outcome::openings;
  for (std::size_t k = 0; k < whole.openings.size(); ++k) {
    const Weights by_in = weights_by(
        fan, [k](const Outcome& outcome) { return outcome.openings[k].in_kg_per_s.value; });
    const Weights by_out = weights_by(
        fan, [k](const Outcome& outcome) { return outcome.openings[k].out_kg_per_s.value; });
    add_up(fan, whole, listed<openings, &OpeningFlow::in_kg_per_s>(k));
    add_up(fan, whole, listed<openings, &OpeningFlow::out_kg_per_s>(k));
    average(fan, by_in, whole, listed<openings, &OpeningFlow::in_temperature_c>(k));
    average(fan, by_out, whole, listed<openings, &OpeningFlow::out_temperature_c>(k));
  }
}

template <auto List>
void add_named(const Fan& fan, Outcome& whole) {
  for (std::size_t k = 0; k < (whole.*List).size(); ++k) {
    add_up(fan, whole, listed<List, &NamedHeat::heat_w>(k));
    add_up(fan, whole, listed<List, &NamedHeat::radiation_w>(k));
  }
}

/// Of all heat released in the section.
double released_w(const Outcome& outcome) {
  double released = 0.0;
  for (const HeatRow& row : outcome.heat) {
    released += row.account == HeatAccount::parts ? row.released_w : 0.0;
  }
  return released;
}

void add_heat(const Fan& fan, Outcome& whole) {
  constexpr auto heat = &Outcome::heat;
  for (std::size_t k = 0; k < whole.heat.size(); ++k) {
    add_up(fan, whole, listed<heat, &HeatRow::released_w>(k));
    add_up(fan, whole, listed<heat, &HeatRow::convection_w>(k));
    add_up(fan, whole, listed<heat, &HeatRow::radiation_w>(k));
    add_up(fan, whole, listed<heat, &HeatRow::conduction_w>(k));
    add_up(fan, whole, listed<heat, &HeatRow::heat_w>(k));
  }
  const double released = released_w(whole);
  const double to_percent = released > 0.0 ? 100.0 / released : nan;
  for (HeatRow& row : whole.heat) {
    row.share_percent = {row.heat_w.value * to_percent, row.heat_w.error * to_percent};
  }
  add_named<&Outcome::solids>(fan, whole);
  add_named<&Outcome::sides>(fan, whole);
  for (std::size_t k = 0; k < whole.links.size(); ++k) {
    add_up(fan, whole, listed<&Outcome::links, &LinkHeat::heat_w>(k));
  }
}

/// Flows of air, what it brings, and what drives it.
void add_air(const Fan& fan, Outcome& whole) {
  const auto fresh = [](const Outcome& outcome) { return outcome.through_flow_g_per_s.value; };
  const auto entering = [](const Outcome& outcome) { return outcome.in_flow_g_per_s.value; };
  const Weights by_fresh = weights_by(fan, fresh);
  const Weights by_entering = weights_by(fan, entering);
  for (const Outcome& outcome : fan.outcomes) {
    whole.feeding = std::max(whole.feeding, outcome.feeding);
  }
  average(fan, by_fresh, whole, own<&Outcome::air_into_fins_c>);
  average(fan, by_fresh, whole, own<&Outcome::air_source_c>);
  average(fan, by_entering, whole, own<&Outcome::re_entering_share>);
  average(fan, by_entering, whole, own<&Outcome::case_re_entering_share>);
  average(fan, by_entering, whole, own<&Outcome::recirculation>);
  for (std::size_t k = 0; k < whole.draft.size(); ++k) {
    average(fan, by_fresh, whole, listed<&Outcome::draft, &DraftPart::driving_pa>(k));
    average(fan, by_fresh, whole, listed<&Outcome::draft, &DraftPart::lost_pa>(k));
  }
  add_up(fan, whole, own<&Outcome::through_flow_g_per_s>);
  add_up(fan, whole, own<&Outcome::in_flow_g_per_s>);
  add_up(fan, whole, own<&Outcome::crossing_flow_g_per_s>);
  add_up(fan, whole, own<&Outcome::bypass_flow_g_per_s>);
  take_largest(fan, whole, own<&Outcome::air_speed_max_m_per_s>);
  add_gaps(fan, whole);
  add_openings(fan, whole);
}

void set_rise(const Fan& fan, const Weights& by_power, double core_to_base_k_per_w,
              Outcome& whole) {
  Estimate& rise = whole.base_rise_mean_k;
  rise.error = weighted(fan, by_power, own<&Outcome::base_rise_mean_k>).first.error /
               std::accumulate(by_power.begin(), by_power.end(), 0.0);
  rise.value = common_rise(fan.parts, fan.rises);
  take_largest(fan, whole, own<&Outcome::base_rise_max_k>);
  whole.core_rise_k = rise.value + core_to_base_k_per_w * fan.power_w;
  const double to_resistance = fan.power_w > 0.0 ? 1.0 / fan.power_w : nan;
  whole.resistance_k_per_w = {rise.value * to_resistance, rise.error * to_resistance};
  average(fan, by_power, whole, own<&Outcome::metal_drop_k>);
  average(fan, by_power, whole, own<&Outcome::radiated_share>);
}

void set_extremes(const Fan& fan, Outcome& whole) {
  take_largest(fan, whole, own<&Outcome::balance_error>);
  take_largest(fan, whole, own<&Outcome::mass_error>);
  take_largest(fan, whole, own<&Outcome::undershoot_k>);
  take_largest(fan, whole, own<&Outcome::expansion_number>);
  take_largest(fan, whole, own<&Outcome::fluctuation_k>);
  take_largest(fan, whole, own<&Outcome::mean_over_s>);
  for (const Outcome& outcome : fan.outcomes) {
    whole.heat_cell_peclet = std::min(whole.heat_cell_peclet, outcome.heat_cell_peclet);
  }
}

/// Convection off the fins over their surface and the base's rise.
double fins_h(const Section& section, const Solution& solution, const Outcome& outcome) {
  double wetted = 0.0;
  for (const MediumCell& cell : solution.problem.media) {
    wetted += cell.wetted * section.depth;
  }
  double heat = 0.0;
  for (const FinMedium& medium : section.media) {
    for (const NamedHeat& named : outcome.solids) {
      heat += named.name == medium.name ? named.heat_w - named.radiation_w : 0.0;
    }
  }
  return heat / (wetted * outcome.base_rise_mean_k.value);
}

FanRow row_of(const Section& section, const Solution& solution, const Outcome& outcome,
              double power_w) {
  FanRow row;
  row.angle_deg = solution.part.angle_deg;
  row.weight = solution.part.weight;
  row.power_w = solution.part.power;
  row.power_share_percent =
      power_w > 0.0 ? 100.0 * solution.part.weight * solution.part.power / power_w : nan;
  row.base_rise_k = outcome.base_rise_mean_k;
  row.conductance_w_per_k = solution.part.power / outcome.base_rise_mean_k.value;
  row.fins_h_w_per_m2k = fins_h(section, solution, outcome);
  row.through_flow_g_per_s = solution.part.weight * outcome.through_flow_g_per_s.value;
  row.radiated_share = outcome.radiated_share;
  row.air_speed_max_m_per_s = outcome.air_speed_max_m_per_s.value;
  row.status = outcome.status;
  row.stability = outcome.stability;
  return row;
}

} // namespace

Solution section_alone(const Solution& solution) {
  Solution alone = solution;
  if (!solution.others.empty()) {
    alone.others.clear();
    alone.report = solution.own_report;
  }
  return alone;
}

Outcome make_whole_outcome(const Section& section, const Solution& solution,
                           const OutcomeContext& context) {
  if (solution.others.empty()) {
    return make_outcome(section, solution, context);
  }
  Fan fan;
  fan.power_w = context.power_w;
  std::vector<FanRow> rows;
  const auto add = [&](const Solution& one) {
    OutcomeContext own_context = context;
    own_context.power_w = one.part.power;
    fan.parts.push_back(one.part);
    fan.outcomes.push_back(make_outcome(section, one, own_context));
    fan.rises.push_back(fan.outcomes.back().base_rise_mean_k.value);
    rows.push_back(row_of(section, one, fan.outcomes.back(), fan.power_w));
  };
  add(section_alone(solution));
  for (const Solution& other : solution.others) {
    add(other);
  }
  Outcome whole = fan.outcomes.front();
  whole.power_w = context.power_w;
  whole.status = solution.report.status;
  whole.stability = stability_of(solution.report);
  Weights by_power = weights_of(fan);
  for (std::size_t k = 0; k < by_power.size() && fan.power_w > 0.0; ++k) {
    by_power[k] *= fan.parts[k].power;
  }
  set_rise(fan, by_power, context.core_to_base_k_per_w, whole);
  set_extremes(fan, whole);
  add_air(fan, whole);
  add_heat(fan, whole);
  whole.steps = solution.report.steps;
  whole.factorisations = solution.report.factorisations;
  whole.seconds = solution.report.seconds;
  whole.fan = std::move(rows);
  judge_outcome(solution.problem, context, whole);
  const double apart = rises_apart(fan.parts, fan.rises);
  if (apart > rises_told_apart) {
    whole.warnings.push_back(
        fmt::format("the base rises of the fan's sections are {:.1f} % apart", 100.0 * apart));
  }
  return whole;
}

} // namespace tiltfin
