#pragma once
// One row of the result table: what a condition came to. Plain numbers with their units in the
// names, as they appear in summary.csv and summary.json.

#include "post/fits/estimate.hpp"
#include "post/numbers/draft.hpp"
#include "post/numbers/flows.hpp"
#include "post/numbers/heat_budget.hpp"
#include "post/numbers/model_range.hpp"
#include "post/numbers/stability_verdict.hpp"
#include "solver/steady.hpp"

#include <optional>
#include <string>
#include <vector>

namespace tiltfin {

/// Heat given off by a solid or by the fins of a medium, to the air and to other surfaces; heat
/// through an outer side of the section.
struct NamedHeat {
  std::string name;
  double heat_w = 0.0;      ///< positive when it leaves the solid (or the section)
  double radiation_w = 0.0; ///< the part of it that is radiated (a side: that it receives)
};

/// Heat through a link, a to b.
struct LinkHeat {
  std::string name;
  double heat_w = 0.0;
};

enum class SecondSearch { not_made, none_found, found };

/// "" (not made), "none found", "found".
[[nodiscard]] const char* name(SecondSearch search);

/// Whether fresh air feeds the fins.
enum class Feeding { none, stagnant, fed };

/// "" (there is no cooler), "stagnant", "fed".
[[nodiscard]] const char* name(Feeding feeding);

/// What another start led to.
struct SecondFlow {
  SecondSearch search = SecondSearch::not_made;
  /// Mean base rise of the other flow; NaN: none.
  double rise_k = nan;
  std::optional<SolveStatus> status; ///< where one was found
  std::optional<Stability> stability;
};

/// Why a power is among the conditions.
enum class PowerOrigin {
  listed,              ///< the case lists it
  added,               ///< near the power limit; its steady flow is not examined for stability
  listed_beyond_range, ///< listed, and the tables of air do not reach it: no result
  beyond_range,        ///< added, and the tables of air do not reach it: no result
};

/// "listed", "added", "listed beyond the model's range", "beyond the model's range".
[[nodiscard]] const char* name(PowerOrigin origin);

/// A section of the fan that stands for a ring (cases/geometry/fan).
struct FanRow {
  double angle_deg = 0.0;            ///< from the vertical plane
  double weight = 0.0;               ///< share of the ring that it stands for [-]
  double power_w = 0.0;              ///< of the ring, were all of it like this section
  double power_share_percent = 0.0;  ///< of the condition's power, in the fins it stands for
  Estimate base_rise_k;              ///< those of all sections are equal but for a small rest
  double conductance_w_per_k = nan;  ///< of such a ring, base to room
  double fins_h_w_per_m2k = nan;     ///< convection off the fins over their surface and rise
  double through_flow_g_per_s = nan; ///< fresh air of the fins that it stands for
  double radiated_share = nan;
  double air_speed_max_m_per_s = 0.0;
  SolveStatus status = SolveStatus::not_converged;
  StabilityVerdict stability;
};

/// Errors are of the discretisation; NaN without a coarse solution.
struct Outcome {
  std::string panel;
  std::string orientation;
  std::string finish; ///< of the cooler, where several are compared
  double power_w = 0.0;
  PowerOrigin origin = PowerOrigin::listed;
  SolveStatus status = SolveStatus::not_converged;
  Standing standing = Standing::sound; ///< reasons are among the warnings
  StabilityVerdict stability;
  Estimate base_rise_mean_k; ///< above the room
  double base_rise_max_k = 0.0;
  double steady_rise_k = nan;  ///< mean of the steady flow that was examined; NaN: none was
  double core_rise_k = 0.0;    ///< base mean plus core-to-base resistance times power
  Estimate resistance_k_per_w; ///< mean base rise / power
  Estimate metal_drop_k;       ///< base less surfaces of the cooler (post/numbers/metal_drop)
  Estimate air_speed_max_m_per_s;
  Feeding feeding = Feeding::none;
  Estimate air_into_fins_c; ///< flow-weighted, a tenth of a fin length upstream; NaN when stagnant
  Estimate air_source_c;    ///< of the same air where it comes from; NaN when stagnant
  Estimate through_flow_g_per_s; ///< fresh air that the cooler draws in (post/numbers/through_flow)
  Estimate in_flow_g_per_s;      ///< all that enters its outline: half of the flow either way
  Estimate crossing_flow_g_per_s;      ///< from end to end of its gaps
  Estimate bypass_flow_g_per_s;        ///< past it, within the machine
  double re_entering_share = nan;      ///< of what enters: has left the cooler just before
  double case_re_entering_share = nan; ///< of what enters the machine: has left it just before
  double recirculation = 0.0;          ///< flow-weighted mean over the fin gaps
  double radiated_share = 0.0;         ///< of what fins, fin media, base and source give off
  double balance_error = 0.0;    ///< |heat in - heat out| / heat in, of a mean over its last window
  double mass_error = 0.0;       ///< largest cell imbalance / largest face flow
  double undershoot_k = 0.0;     ///< coldest cell below the coldest surroundings: cells too coarse
  double heat_cell_peclet = nan; ///< at which heat is carried half upwind [-]; NaN: not known
  double film_temperature_c = 0.0;
  double expansion_number = 0.0; ///< beta times largest rise [-]; above 0.1 out of range
  double rayleigh_gap = 0.0;     ///< on the smallest fin gap and the base rise
  double fluctuation_k = 0.0;
  double mean_over_s = nan; ///< time that a mean was taken over; NaN: no mean, or not known
  SecondFlow second;
  int cells = 0;
  int steps = 0;
  int factorisations = 0;
  double seconds = 0.0;
  std::vector<GapFlow> gaps;
  std::vector<OpeningFlow> openings;
  std::vector<DraftPart> draft;  ///< of the fresh air through the cooler
  std::vector<NamedHeat> solids; ///< then those of fin media
  std::vector<NamedHeat> sides;
  std::vector<LinkHeat> links;
  std::vector<HeatRow> heat; ///< where it goes
  std::vector<FanRow> fan;   ///< by angle; none: one section stands for all
  std::vector<std::string> warnings;
};

/// Expansion number up to which the Boussinesq approximation is accepted.
inline constexpr double largest_expansion_number = 0.1;

/// A listed or an added condition that was solved, and is no number of a machine.
[[nodiscard]] inline bool is_outside(const Outcome& outcome) {
  return outcome.standing == Standing::outside;
}

/// How the warning of a larger one begins.
inline constexpr const char* expansion_warning = "expansion number";

/// One of the powers that the case lists.
[[nodiscard]] inline bool is_listed(const Outcome& outcome) {
  return outcome.origin == PowerOrigin::listed ||
         outcome.origin == PowerOrigin::listed_beyond_range;
}

/// A result: converged or a mean over time.
[[nodiscard]] bool is_solved(SolveStatus status);

/// What only the case knows about a condition.
struct OutcomeContext {
  std::string panel;
  std::string finish{}; // NOLINT(readability-redundant-member-init): may be left out
  std::string orientation;
  double power_w = 0.0;
  double room_temperature = 298.15; ///< [K]
  double core_to_base_k_per_w = 0.0;
};

/// The condition's numbers. Without a base in the section its rises, and without a coarse solution
/// the error estimate, are NaN; so is the growth of a state that was not examined.
[[nodiscard]] Outcome make_outcome(const Section& section, const Solution& solution,
                                   const OutcomeContext& context);

/// Enters what the numbers of an outcome say of its worth: standing and warnings. `problem` is that
/// of its flow.
void judge_outcome(const Problem& problem, const OutcomeContext& context, Outcome& outcome);

/// True when two solutions of one condition are solved and are different flows: psi or a
/// temperature differs by more than 2 % of its range, by 10 % where one is a mean.
[[nodiscard]] bool is_other_flow(const Solution& solution, const Solution& other);

/// Enters into `outcome` of `solution` what another start came to: the same flow, or a second one.
void add_second_flow(const Section& section, const Solution& solution, const Solution& other,
                     double room_temperature, Outcome& outcome);

/// "panel-on_flat-up_40w": names the files of a condition; safe in a file name. Characters other
/// than letters, digits, '-', '_' and '.' become '~' and their hexadecimal code.
[[nodiscard]] std::string condition_id(const std::string& panel, const std::string& orientation,
                                       double power_w);

} // namespace tiltfin
