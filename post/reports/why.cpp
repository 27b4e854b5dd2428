#include "post/reports/why.hpp"

#include "post/fits/groups.hpp"
#include "post/numbers/heat_network.hpp"
#include "post/numbers/order_averaged.hpp"
#include "post/reports/table_parts.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <optional>

namespace tiltfin {
namespace {

/// What drives the fresh air on its way through the fins [Pa]; NaN where it is not known.
double fins_buoyancy(const Outcome& outcome) {
  const auto fins = std::ranges::find(outcome.draft, "fins", &DraftPart::name);
  return fins == outcome.draft.end() ? nan : fins->driving_pa.value;
}

constexpr std::size_t n_factors = network_factors.size();

/// Bodies that take less of what leaves by other paths are not named [-].
constexpr double least_path_share = 0.2;

/// Releases that are further apart are no comparison at one power [-]: rounding of a sum over
/// cells.
constexpr double same_heat = 1e-9;

/// Conditions of one panel state and orientation.
using Placed = std::vector<const Outcome*>;

/// One side of a comparison.
struct Compared {
  const Outcome* outcome = nullptr;
  const TrendRow* trend = nullptr;
};

/// What both sides have in common.
struct Ground {
  double power_w = 0.0;
  CoreLimit core;
};

/// The split of one pair, from there to here.
struct Split {
  std::vector<double> rise;  ///< by factor [K]
  std::vector<double> limit; ///< by factor, then growth [W]; NaN without limits
};

/// Where a rise that goes with a power of the power meets the limit.
double limit_of(const Ground& ground, double rise, double exponent) {
  Trend trend;
  trend.n_points = 1;
  trend.factor = rise / std::pow(ground.power_w, exponent);
  trend.exponent = exponent;
  return fitted_power_limit(trend, ground.core.rise_k(), ground.core.core_to_base_k_per_w);
}

struct Exponents {
  double here = nan;
  double there = nan;
};

/// Nothing when one of the networks, or a mixture of them, has no rise.
std::optional<Split> split(const CoolerHeat& here, const CoolerHeat& there, const Ground& ground,
                           const Exponents& exponents) {
  const auto [feeding_here, feeding_there] = feeding_rises(here, there);
  auto to = heat_network(here, feeding_here);
  const auto from = heat_network(there, feeding_there);
  if (!to || !from || std::abs(here.released_w - there.released_w) > same_heat * there.released_w) {
    return std::nullopt;
  }
  to->open_share = 1.0 - here.released_w * (1.0 - to->open_share) / there.released_w;
  const std::vector<double> rises = mixed_rises(*from, *to, there.released_w);
  if (!std::ranges::all_of(rises, [](double rise) { return rise > 0.0; })) {
    return std::nullopt;
  }
  Split result;
  result.rise = order_averaged(rises);
  std::vector<double> limits;
  for (const double exponent : {exponents.there, exponents.here}) {
    for (const double rise : rises) {
      limits.push_back(std::isfinite(exponent) ? limit_of(ground, rise, exponent) : nan);
    }
  }
  result.limit = order_averaged(limits);
  return result;
}

/// Adds the squares of how far the parts of another split are away.
void add_squares(const Split& split, const std::optional<Split>& other, Split& squares) {
  const auto add = [&](std::vector<double> Split::*parts) {
    for (std::size_t k = 0; k < (split.*parts).size(); ++k) {
      const double away = other ? ((*other).*parts)[k] - (split.*parts)[k]
                                : std::numeric_limits<double>::infinity();
      (squares.*parts)[k] += away * away;
    }
  };
  add(&Split::rise);
  add(&Split::limit);
}

/// Errors of a split's parts; NaN when one condition has no coarse mesh to tell them.
Split errors_of(const Split& found, const CoolerHeat& here, const CoolerHeat& there,
                const Ground& ground, const Exponents& exponents) {
  const bool is_known =
      std::isfinite(here.base_rise_k.error) && std::isfinite(there.base_rise_k.error);
  Split squares{std::vector<double>(found.rise.size(), is_known ? 0.0 : nan),
                std::vector<double>(found.limit.size(), is_known ? 0.0 : nan)};
  for (const CoolerHeat& changed : with_errors(here)) {
    add_squares(found, split(changed, there, ground, exponents), squares);
  }
  for (const CoolerHeat& changed : with_errors(there)) {
    add_squares(found, split(here, changed, ground, exponents), squares);
  }
  for (std::vector<double>* parts : {&squares.rise, &squares.limit}) {
    for (double& part : *parts) {
      part = std::sqrt(part);
    }
  }
  return squares;
}

/// The number of a cause as it is shown.
double shown_fact(Cause cause, const HeatNetwork& network, const CoolerHeat& heat,
                  double room_temperature_c) {
  switch (cause) {
  case Cause::feeding_air:
    return room_temperature_c + heat.feeding_rise_k.value;
  case Cause::through_flow:
    return heat.through_flow_g_per_s.value;
  case Cause::not_closed:
    return 100.0 * network.open_share;
  default:
    return network.*network_factors[static_cast<std::size_t>(cause)];
  }
}

/// Parts of rise and limit, growth, and what is left of the limits.
void add_parts(const CoolerHeat& here, const CoolerHeat& there, const Ground& ground,
               const Exponents& exponents, Why& why) {
  const std::optional<Split> found = split(here, there, ground, exponents);
  if (!found) {
    return;
  }
  const Split errors = errors_of(*found, here, there, ground, exponents);
  const auto [feeding_here, feeding_there] = feeding_rises(here, there);
  const HeatNetwork network_here = *heat_network(here, feeding_here);
  const HeatNetwork network_there = *heat_network(there, feeding_there);
  const double room = ground.core.room_temperature_c;
  double rest = why.limit_w.value;
  for (std::size_t k = 0; k <= n_factors; ++k) {
    CausePart part;
    part.cause = static_cast<Cause>(k);
    part.limit_w = {found->limit[k], errors.limit[k]};
    rest -= found->limit[k];
    if (k < n_factors) {
      part.rise_k = {found->rise[k], errors.rise[k]};
      part.here = shown_fact(part.cause, network_here, here, room);
      part.there = shown_fact(part.cause, network_there, there, room);
    } else {
      part.here = exponents.here;
      part.there = exponents.there;
    }
    why.parts.push_back(part);
  }
  why.parts.push_back({.cause = Cause::residual, .limit_w = {rest, nan}});
}

/// "board and wall": the groups that take most of what leaves by other paths.
std::string main_other_paths(const Outcome& outcome) {
  double amounts = 0.0;
  std::vector<const HeatRow*> rows;
  for (const HeatRow& row : outcome.heat) {
    const bool is_other =
        row.account == HeatAccount::groups && !row.group.empty() && !is_of_cooler(outcome, row);
    if (is_other) {
      amounts += std::abs(row.heat_w.value);
      rows.push_back(&row);
    }
  }
  std::vector<std::string> names;
  for (const HeatRow* row : rows) {
    if (std::abs(row->heat_w.value) > least_path_share * amounts) {
      names.push_back(row->group == name(Role::source) ? "chip" : row->group);
    }
  }
  return fmt::format("{}", fmt::join(names, " and "));
}

Estimate difference(const Estimate& a, const Estimate& b) {
  return {a.value - b.value, std::hypot(a.error, b.error)};
}

/// Every cause that is worth naming: by the rise, by the limit what only limits know.
void choose_named(Why& why) {
  const double rise = std::max(why.base_rise_k, why.than_base_rise_k);
  const double limit = std::fmax(why.power_limit_w, why.than_power_limit_w);
  for (CausePart& part : why.parts) {
    const bool is_of_limit = part.cause == Cause::growth;
    const Estimate& own = is_of_limit ? part.limit_w : part.rise_k;
    part.is_named = part.cause != Cause::residual && !std::isinf(own.error) &&
                    std::abs(own.value) > least_named_share * (is_of_limit ? limit : rise) &&
                    std::abs(own.value) > own.bar();
  }
}

const Outcome* solved_at(const Placed& placed, double power_w) {
  const auto found = std::ranges::find_if(placed, [&](const Outcome* outcome) {
    return outcome->power_w == power_w && is_solved(outcome->status);
  });
  return found == placed.end() ? nullptr : *found;
}

/// Of the powers solved of both the one nearest to `limit_w`, in ratio: what far from it is another
/// flow would explain nothing. The largest where there is no limit; NaN: no power.
double common_power(const Placed& here, const Placed& there, double limit_w) {
  const auto distance = [limit_w](double power) {
    return std::isfinite(limit_w) ? std::abs(std::log(power / limit_w)) : -power;
  };
  double nearest = nan;
  for (const Outcome* outcome : here) {
    const double power = outcome->power_w;
    if (is_solved(outcome->status) && solved_at(there, power) != nullptr &&
        !(distance(power) >= distance(nearest))) {
      nearest = power;
    }
  }
  return nearest;
}

Why compare(const Compared& here, const Compared& there, const Ground& ground) {
  Why why;
  why.panel = here.outcome->panel;
  why.orientation = here.outcome->orientation;
  why.finish = here.outcome->finish;
  why.than_panel = there.outcome->panel;
  why.than_orientation = there.outcome->orientation;
  why.power_w = ground.power_w;
  why.base_rise_k = here.outcome->base_rise_mean_k.value;
  why.than_base_rise_k = there.outcome->base_rise_mean_k.value;
  why.rise_k = difference(here.outcome->base_rise_mean_k, there.outcome->base_rise_mean_k);
  why.power_limit_w = here.trend->limit.power_w.value;
  why.than_power_limit_w = there.trend->limit.power_w.value;
  why.limit_w = difference(here.trend->limit.power_w, there.trend->limit.power_w);
  const auto heat_here = cooler_heat(*here.outcome, ground.core.room_temperature_c);
  const auto heat_there = cooler_heat(*there.outcome, ground.core.room_temperature_c);
  if (heat_here && heat_there) {
    why.radiated_share = heat_here->radiation_w.value / heat_here->released_w;
    why.than_radiated_share = heat_there->radiation_w.value / heat_there->released_w;
    why.fins_buoyancy_pa = fins_buoyancy(*here.outcome);
    why.than_fins_buoyancy_pa = fins_buoyancy(*there.outcome);
    why.other_paths = main_other_paths(*here.outcome);
    const Exponents exponents{here.trend->trend.exponent, there.trend->trend.exponent};
    add_parts(*heat_here, *heat_there, ground, exponents, why);
  }
  choose_named(why);
  add_sentences(why);
  return why;
}

/// Conditions by placing, with their trends.
class Explainer {
public:
  Explainer(std::span<const Outcome> outcomes, std::span<const TrendRow> trends,
            const ReportContext& context)
      : trends_(trends), core_(context.core), placed_(groups_by_placing(outcomes)) {}

  [[nodiscard]] std::vector<Why> all() {
    for (const Placed& here : placed_) {
      const auto there = std::ranges::find_if(placed_, [&](const Placed& other) {
        return other.front()->orientation == here.front()->orientation &&
               other.front()->finish == here.front()->finish;
      });
      add(here, *there);
    }
    for (const Placed& here : placed_) {
      const auto best = std::ranges::find(trends_, here.front()->panel, &TrendRow::panel);
      const auto there = std::ranges::find_if(placed_, [&](const Placed& other) {
        return best != trends_.end() && placing_of(*other.front()) == placing_of(*best);
      });
      if (there != placed_.end()) {
        add(here, *there);
      }
    }
    return std::move(whys_);
  }

private:
  [[nodiscard]] const TrendRow* trend_of(const Placed& placed) const {
    const auto row = std::ranges::find(trends_, placing_of(*placed.front()), placing_of<TrendRow>);
    return row == trends_.end() ? nullptr : &*row;
  }
  void add(const Placed& here, const Placed& there) {
    const TrendRow* trend_here = trend_of(here);
    const TrendRow* trend_there = trend_of(there);
    if (&here == &there || trend_here == nullptr || trend_there == nullptr) {
      return;
    }
    const double lower_limit =
        std::fmin(trend_here->limit.power_w.value, trend_there->limit.power_w.value);
    const Ground ground{common_power(here, there, lower_limit), core_};
    if (!std::isfinite(ground.power_w)) {
      return;
    }
    whys_.push_back(compare({solved_at(here, ground.power_w), trend_here},
                            {solved_at(there, ground.power_w), trend_there}, ground));
  }

  std::span<const TrendRow> trends_;
  CoreLimit core_;
  std::vector<Placed> placed_;
  std::vector<Why> whys_;
};

} // namespace

const char* name(Cause cause) {
  constexpr std::array names{"feeding air",       "through-flow", "transfer", "other air",
                             "radiation",         "other paths",  "metal",    "not closed",
                             "growth with power", "residual"};
  return names[static_cast<std::size_t>(cause)];
}

std::vector<Why> explain(std::span<const Outcome> outcomes, std::span<const TrendRow> trends,
                         const ReportContext& context) {
  return Explainer(outcomes, trends, context).all();
}

} // namespace tiltfin
