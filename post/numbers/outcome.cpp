#include "post/numbers/outcome.hpp"

#include "post/fits/estimate.hpp"
#include "post/numbers/balances.hpp"
#include "post/numbers/error_estimate.hpp"
#include "post/numbers/fan_rise.hpp"
#include "post/numbers/flows.hpp"
#include "post/numbers/metal_drop.hpp"
#include "post/numbers/through_flow.hpp"
#include "solver/bounds.hpp"
#include "solver/start.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>

namespace tiltfin {
namespace {

/// Accepted range of the Boussinesq approximation, beta times the largest temperature difference.
/// Source: Gray and Giorgini 1976, Int. J. Heat Mass Transfer 19, 545-551 (10 % for air).

/// Heat balance promised for converged conditions [-].
constexpr double largest_balance_error = 1e-6;

/// Relative difference of two means over time, or of a mean and a steady flow, that is no sampling.
constexpr double same_mean = 0.1;

double base_mean(const Section& section, const Problem& problem, const State& state) {
  return section.base < 0 ? nan : solid_temperature(problem, state, section.base).mean;
}

/// Of a fan the rise that its sections have in common.
double base_rise(const Section& section, const Solution& solution, double room_temperature) {
  std::vector<FanPart> parts{solution.part};
  std::vector<double> rises{base_mean(section, solution.problem, solution.state) -
                            room_temperature};
  for (const Solution& other : solution.others) {
    parts.push_back(other.part);
    rises.push_back(base_mean(section, other.problem, other.state) - room_temperature);
  }
  return solution.others.empty() ? rises.front() : common_rise(parts, rises);
}

/// What of the air that feeds the cooler has an error bar, temperatures first, and its values on
/// one mesh.
constexpr std::size_t air_temperatures = 2;
constexpr std::array air_estimates{&Outcome::air_into_fins_c,       &Outcome::air_source_c,
                                   &Outcome::through_flow_g_per_s,  &Outcome::in_flow_g_per_s,
                                   &Outcome::crossing_flow_g_per_s, &Outcome::bypass_flow_g_per_s};

std::vector<double> air_numbers(const Section& section, const Problem& problem,
                                const ThroughFlow& flow) {
  const double grams = grams_per_kg * problem.air.density * section.depth;
  return {flow.feeding_temperature - zero_celsius,
          flow.source_temperature - zero_celsius,
          flow.fresh * grams,
          flow.in * grams,
          flow.crossing * grams,
          flow.bypass * grams};
}

/// Once the rise is known.
void set_air(const Section& section, const Problem& problem, const State& state, Outcome& outcome) {
  const ThroughFlow flow = through_flow(section, problem, state);
  const std::vector<double> values = air_numbers(section, problem, flow);
  for (std::size_t k = 0; k < values.size(); ++k) {
    (outcome.*air_estimates[k]).value = values[k];
  }
  outcome.case_re_entering_share = case_re_entering_share(section, problem, state);
  outcome.re_entering_share = flow.re_entering / (flow.fresh + flow.re_entering);
  if (std::isnan(flow.fresh)) {
    return;
  }
  outcome.feeding = Feeding::fed;
  if (is_stagnant(problem.air, flow.fresh, outcome.base_rise_mean_k.value,
                  heat_balance(problem, state).released)) {
    outcome.feeding = Feeding::stagnant;
    outcome.air_into_fins_c.value = nan;
    outcome.air_source_c.value = nan;
  }
}

/// Error estimates of what is also known on the coarse mesh; without one they stay NaN. Both lists
/// of gaps and of openings follow the section, so they match one to one.
void add_errors(const Section& section, const Solution& solution, const OutcomeContext& context,
                Outcome& outcome) {
  if (!solution.coarse_problem || !solution.coarse_state) {
    return;
  }
  const Problem& problem = *solution.coarse_problem;
  const State& state = *solution.coarse_state;
  const MeshPair pair = mesh_pair(solution);
  const double room = context.room_temperature;
  const auto add_error = [&](Estimate& fine, double coarse) {
    fine.error = discretisation_error(fine.value, coarse, pair);
  };
  outcome.base_rise_mean_k.error =
      discretisation_error(outcome.base_rise_mean_k.value,
                           base_mean(section, problem, state) - room, pair) +
      solution.report.sampling;
  outcome.resistance_k_per_w.error =
      context.power_w > 0.0 ? outcome.base_rise_mean_k.error / context.power_w : nan;
  add_error(outcome.metal_drop_k, metal_drop(section, problem, state));
  add_error(outcome.air_speed_max_m_per_s, air_speed_max(problem, state));
  const std::vector<double> air =
      air_numbers(section, problem, through_flow(section, problem, state));
  for (std::size_t k = 0; k < air.size(); ++k) {
    Estimate& fine = outcome.*air_estimates[k];
    const double zero =
        k < air_temperatures ? room - zero_celsius : 0.0; // a rise errs, not a degree
    fine.error = discretisation_error(fine.value - zero, air[k] - zero, pair);
  }
  const std::vector<GapFlow> gaps = gap_flows(section, problem, state);
  for (std::size_t k = 0; k < gaps.size(); ++k) {
    add_error(outcome.gaps[k].net_flow_kg_per_s, gaps[k].net_flow_kg_per_s.value);
    add_error(outcome.gaps[k].up_flow_g_per_s, gaps[k].up_flow_g_per_s.value);
    add_error(outcome.gaps[k].in_flow_g_per_s, gaps[k].in_flow_g_per_s.value);
  }
  const std::vector<DraftPart> parts = draft(section, problem, state);
  for (std::size_t k = 0; k < parts.size(); ++k) {
    add_error(outcome.draft[k].driving_pa, parts[k].driving_pa.value);
    add_error(outcome.draft[k].lost_pa, parts[k].lost_pa.value);
  }
  const std::vector<OpeningFlow> openings = opening_flows(section, problem, state);
  for (std::size_t k = 0; k < openings.size(); ++k) {
    add_error(outcome.openings[k].in_kg_per_s, openings[k].in_kg_per_s.value);
    add_error(outcome.openings[k].out_kg_per_s, openings[k].out_kg_per_s.value);
  }
}

/// Largest distance of any temperature from where buoyancy is zero, times the expansion.
double expansion_number(const Problem& problem, const State& state) {
  double largest = 0.0;
  for (const double temperature : state.temperature) {
    largest = std::max(largest, std::abs(temperature - problem.air.reference_temperature));
  }
  for (const double temperature : state.fin_temperature) {
    largest = std::max(largest, std::abs(temperature - problem.air.reference_temperature));
  }
  return problem.air.expansion * largest;
}

double rayleigh_gap(const Section& section, const Problem& problem, double rise) {
  double size = nan;
  for (const Gap& gap : fin_gaps(section)) {
    size = std::fmin(size, gap.size()); // fmin passes over the NaN at the start
  }
  for (const FinMedium& medium : section.media) {
    size = std::fmin(size, medium.narrowest_gap());
  }
  const double gravity = std::hypot(problem.gravity_x, problem.gravity_y);
  return gravity * problem.air.expansion * rise * size * size * size /
         (problem.air.kinematic_viscosity() * problem.air.diffusivity());
}

void add_named_heat(const Section& section, const Solution& solution, Outcome& outcome) {
  const std::vector<double> to_air = solid_heat(section, solution.problem, solution.state);
  const SurfaceRadiation radiation = surface_radiation(section, solution.problem, solution.state);
  double cooler = 0.0;
  double cooler_radiation = 0.0;
  for (std::size_t k = 0; k < to_air.size(); ++k) {
    const Solid& solid = section.solids[k];
    const double heat = to_air[k] + radiation.solids[k];
    outcome.solids.push_back(
        {solid.name, heat * section.depth, radiation.solids[k] * section.depth});
    if (solid.role == Role::source || solid.role == Role::base || solid.role == Role::fin) {
      cooler += heat;
      cooler_radiation += radiation.solids[k];
    }
  }
  const std::vector<double> media = medium_heat(section, solution.problem, solution.state);
  for (std::size_t k = 0; k < media.size(); ++k) {
    const double heat = media[k] + radiation.media[k];
    outcome.solids.push_back(
        {section.media[k].name, heat * section.depth, radiation.media[k] * section.depth});
    cooler += heat;
    cooler_radiation += radiation.media[k];
  }
  outcome.radiated_share = cooler > 0.0 ? cooler_radiation / cooler : nan;
  const std::array<double, 4> sides = side_heat(solution.problem, solution.state);
  for (const SideName side : {west, east, south, north}) {
    outcome.sides.push_back(
        {side_names[side], sides[side] * section.depth, radiation.sides[side] * section.depth});
  }
  for (std::size_t k = 0; k < section.links.size(); ++k) {
    outcome.links.push_back({section.links[k].name, solution.state.link_heat[k] * section.depth});
  }
}

/// "disturbances of the steady state grow e-fold in 2.5 s, period 2.1 s"
std::string growth_text(const StabilityVerdict& stability) {
  std::string text = fmt::format("disturbances of the steady state grow e-fold in {:.2g} s",
                                 1.0 / stability.growth_per_s);
  if (std::isfinite(stability.period_s)) {
    text += fmt::format(", period {:.2g} s", stability.period_s);
  }
  return text;
}

std::vector<std::string> warnings_for(const Outcome& outcome, const Judgement& judgement) {
  const SolveStatus status = outcome.status;
  std::vector<std::string> warnings;
  if (status == SolveStatus::not_converged) {
    warnings.emplace_back("not converged: the numbers are those of the last step, not of a "
                          "steady state");
  }
  if (status == SolveStatus::stopped) {
    warnings.emplace_back("stopped before it converged");
  }
  if (status == SolveStatus::time_average) {
    const bool was_left = outcome.stability.state == Stability::unstable;
    warnings.push_back(
        fmt::format("{}: mean over a march in time, hottest solid fluctuating by "
                    "{:.2g} K",
                    was_left ? growth_text(outcome.stability) : "no steady state found",
                    outcome.fluctuation_k));
  }
  if (status == SolveStatus::converged && outcome.stability.state == Stability::unstable) {
    warnings.push_back(fmt::format("{}, and followed in time they came to no other flow and no "
                                   "settled mean: real air may leave the flow reported",
                                   growth_text(outcome.stability)));
  }
  if (outcome.stability.state == Stability::sways) {
    warnings.push_back(growth_text(outcome.stability) +
                       ", but followed in time they move the hottest solid by less than 0.02 %");
  }
  if (outcome.expansion_number > largest_expansion_number) {
    warnings.push_back(fmt::format("{} {:.3f} is above {:.1f} (Boussinesq)", expansion_warning,
                                   outcome.expansion_number, largest_expansion_number));
  }
  for (const std::string& reason : judgement.reasons) {
    warnings.push_back(reason);
  }
  if (status == SolveStatus::converged && outcome.balance_error > largest_balance_error) {
    warnings.push_back(fmt::format("heat balance closes only to {:.1e}", outcome.balance_error));
  }
  return warnings;
}

/// Of a result; of none there is nothing to judge.
Judgement judgement_of(const Problem& problem, const OutcomeContext& context,
                       const Outcome& outcome) {
  if (!is_solved(outcome.status)) {
    return {};
  }
  const double room_c = context.room_temperature - zero_celsius;
  return judge_row(
      {.base_mean_c = {room_c + outcome.base_rise_mean_k.value, outcome.base_rise_mean_k.error},
       .base_max_c = room_c + outcome.base_rise_max_k,
       .core_c = room_c + outcome.core_rise_k,
       .room_c = room_c,
       .coldest_c = coldest_outside(problem) - zero_celsius,
       .rise_k = outcome.base_rise_max_k,
       .largest_rise_k = outcome.expansion_number / problem.air.expansion,
       .undershoot_k = outcome.undershoot_k,
       .expansion_number = outcome.expansion_number});
}

/// Letters, digits, '-', '_' and '.' stay; other bytes become '~' and two hexadecimal digits, so
/// that different names never meet in one file.
std::string file_name_part(const std::string& text) {
  std::string part;
  for (const char c : text) {
    const bool is_plain = (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') ||
                          (c >= '0' && c <= '9') || c == '-' || c == '_' || c == '.';
    if (is_plain) {
      part += c;
    } else {
      part += fmt::format("~{:02x}", static_cast<unsigned char>(c));
    }
  }
  return part;
}

} // namespace

const char* name(Feeding feeding) {
  switch (feeding) {
  case Feeding::none:
    return "";
  case Feeding::stagnant:
    return "stagnant";
  case Feeding::fed:
    break;
  }
  return "fed";
}

const char* name(SecondSearch search) {
  switch (search) {
  case SecondSearch::not_made:
    return "";
  case SecondSearch::none_found:
    return "none found";
  case SecondSearch::found:
    break;
  }
  return "found";
}

const char* name(PowerOrigin origin) {
  switch (origin) {
  case PowerOrigin::listed:
    return "listed";
  case PowerOrigin::added:
    return "added";
  case PowerOrigin::listed_beyond_range:
    return "listed beyond the model's range";
  case PowerOrigin::beyond_range:
    break;
  }
  return "beyond the model's range";
}

bool is_solved(SolveStatus status) {
  return status == SolveStatus::converged || status == SolveStatus::time_average;
}

Outcome make_outcome(const Section& section, const Solution& solution,
                     const OutcomeContext& context) {
  const Problem& problem = solution.problem;
  const State& state = solution.state;
  Outcome outcome;
  outcome.panel = context.panel;
  outcome.orientation = context.orientation;
  outcome.finish = context.finish;
  outcome.power_w = context.power_w;
  outcome.status = solution.report.status;
  outcome.stability = stability_of(solution.report);
  outcome.base_rise_mean_k.value = base_mean(section, problem, state) - context.room_temperature;
  outcome.base_rise_max_k = section.base < 0 ? nan
                                             : solid_temperature(problem, state, section.base).max -
                                                   context.room_temperature;
  const double rise = outcome.base_rise_mean_k.value;
  outcome.core_rise_k = rise + context.core_to_base_k_per_w * context.power_w;
  outcome.resistance_k_per_w.value = context.power_w > 0.0 ? rise / context.power_w : nan;
  outcome.metal_drop_k.value = metal_drop(section, problem, state);
  outcome.air_speed_max_m_per_s.value = air_speed_max(problem, state);
  set_air(section, problem, state, outcome);
  outcome.recirculation = gap_recirculation(section, problem, state);
  const bool mean = outcome.status == SolveStatus::time_average;
  outcome.balance_error = mean ? solution.report.stored : heat_balance(problem, state).error;
  outcome.mass_error = mass_error(problem, state);
  outcome.undershoot_k = undershoot(problem, state);
  outcome.heat_cell_peclet = problem.heat_peclet;
  outcome.film_temperature_c = solution.film_temperature - zero_celsius;
  outcome.expansion_number = expansion_number(problem, state);
  outcome.rayleigh_gap = rayleigh_gap(section, problem, rise);
  outcome.fluctuation_k = solution.report.fluctuation;
  if (mean && solution.report.averaged > 0.0) {
    outcome.mean_over_s = solution.report.averaged;
  }
  outcome.cells = problem.mesh.n_cells();
  outcome.steps = solution.report.steps;
  outcome.factorisations = solution.report.factorisations;
  outcome.seconds = solution.report.seconds;
  outcome.gaps = gap_flows(section, problem, state);
  outcome.openings = opening_flows(section, problem, state);
  outcome.draft = draft(section, problem, state);
  add_errors(section, solution, context, outcome);
  add_named_heat(section, solution, outcome);
  outcome.heat = heat_budget(section, solution, context.room_temperature);
  judge_outcome(problem, context, outcome);
  return outcome;
}

void judge_outcome(const Problem& problem, const OutcomeContext& context, Outcome& outcome) {
  const Judgement judgement = judgement_of(problem, context, outcome);
  outcome.standing = judgement.standing;
  outcome.warnings = warnings_for(outcome, judgement);
}

bool is_other_flow(const Solution& solution, const Solution& other) {
  for (std::size_t k = 0; k < std::min(solution.others.size(), other.others.size()); ++k) {
    if (is_other_flow(solution.others[k], other.others[k])) {
      return true;
    }
  }
  const bool both_steady = solution.report.status == SolveStatus::converged &&
                           other.report.status == SolveStatus::converged;
  const State there = interpolate(other.problem, other.state, solution.problem);
  const double apart = relative_difference(solution.problem, solution.state, there);
  return is_solved(other.report.status) && apart > (both_steady ? same_flow : same_mean);
}

void add_second_flow(const Section& section, const Solution& solution, const Solution& other,
                     double room_temperature, Outcome& outcome) {
  outcome.second = {};
  if (!is_other_flow(solution, other)) {
    outcome.second.search = SecondSearch::none_found;
    return;
  }
  outcome.second.search = SecondSearch::found;
  outcome.second.rise_k = base_rise(section, other, room_temperature);
  outcome.second.status = other.report.status;
  outcome.second.stability = stability_of(other.report).state;
}

std::string condition_id(const std::string& panel, const std::string& orientation, double power_w) {
  return fmt::format("{}_{}_{}w", file_name_part(panel), file_name_part(orientation), power_w);
}

} // namespace tiltfin
