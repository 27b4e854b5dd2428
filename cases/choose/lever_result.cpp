#include "cases/choose/lever_result.hpp"

#include "cases/file/core_limit.hpp"
#include "cases/run/run.hpp"
#include "post/reports/remarks.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <optional>
#include <utility>

namespace tiltfin {
namespace {

/// At a power; what was solved goes before what is known from results, which may be a mean.
const Outcome* outcome_as_it_is(const AsItIs& as_it_is, const Placing& placing, double power_w) {
  for (const std::vector<Outcome>* outcomes : {&as_it_is.solved, &as_it_is.known}) {
    const auto found = std::ranges::find_if(*outcomes, [&](const Outcome& outcome) {
      return placing_of(outcome) == placing && outcome.power_w == power_w;
    });
    if (found != outcomes->end()) {
      return &*found;
    }
  }
  return nullptr;
}

/// The outcomes that the trend of a place goes through: what a solve would have; powers ascending.
std::vector<Outcome> trend_outcomes(const AsItIs& as_it_is, const Placing& placing) {
  std::vector<Outcome> outcomes;
  for (const std::vector<Outcome>* source : {&as_it_is.known, &as_it_is.solved}) {
    for (const Outcome& outcome : *source) {
      if (placing_of(outcome) == placing &&
          std::ranges::find(outcomes, outcome.power_w, &Outcome::power_w) == outcomes.end()) {
        outcomes.push_back(outcome);
      }
    }
  }
  std::ranges::stable_sort(outcomes, {}, &Outcome::power_w);
  return outcomes;
}

/// Nothing where its rise at the power is not known.
std::optional<LeverPlace> place_at(const Case& the_case, const AsItIs& as_it_is,
                                   const Placing& placing, double power_w) {
  const Outcome* own = outcome_as_it_is(as_it_is, placing, power_w);
  if (own == nullptr) {
    return std::nullopt;
  }
  LeverPlace place;
  place.panel = placing.panel;
  place.orientation = placing.orientation;
  place.status = own->status;
  place.standing = own->standing;
  if (is_solved(own->status)) {
    place.rise_k = own->base_rise_mean_k;
  }
  const std::vector<TrendRow> trends =
      make_trends(trend_outcomes(as_it_is, placing), report_context(the_case));
  if (!trends.empty()) {
    place.trend = trends.front().trend;
    place.limit = trends.front().limit;
    place.standing = std::max(place.standing, place.limit.standing);
  }
  return place;
}

/// Puts the report's rows together, place by place.
class Rows {
public:
  Rows(const Case& the_case, const AsItIs& as_it_is, double power_w, LeverReport& report)
      : the_case_(the_case), as_it_is_(as_it_is), power_w_(power_w), report_(report) {}

  void refuse(const Placing& placing, LeverKind lever, const std::string& reason) {
    LeverRow row;
    row.panel = placing.panel;
    row.orientation = placing.orientation;
    row.lever = lever;
    row.change = reason;
    report_.rows.push_back(row);
  }

  /// Other panel states with the same finish.
  void add_panels(const LeverPlace& place) {
    const PanelState& own = panel_of(place);
    const std::size_t before = report_.rows.size();
    for (const PanelState& panel : the_case_.panels) {
      if (panel.name != own.name && panel.finish == own.finish) {
        add_known(place, LeverKind::panel, {panel.name, place.orientation}, declared_name(panel),
                  declared_name(own));
      }
    }
    if (report_.rows.size() == before) {
      refuse(placing_of(place), LeverKind::panel, "one panel state only");
    }
  }

  /// The finish of those compared that radiates most.
  void add_compared_finish(const LeverPlace& place) {
    const PanelState& own = panel_of(place);
    if (own.finish.empty()) {
      return;
    }
    const PanelState* best = &own;
    for (const PanelState& panel : the_case_.panels) {
      const bool is_same = declared_name(panel) == declared_name(own);
      if (is_same && emissivity_of_finish(panel.finish) > emissivity_of_finish(best->finish)) {
        best = &panel;
      }
    }
    if (best == &own) {
      refuse(placing_of(place), LeverKind::finish,
             fmt::format("of the finishes compared {} radiates most", own.finish));
    } else {
      add_known(place, LeverKind::finish, {best->name, place.orientation}, best->finish,
                own.finish);
    }
  }

  /// The other orientation with the highest limit.
  void add_turning(const LeverPlace& place) {
    std::optional<LeverPlace> best;
    for (const Orientation& orientation : the_case_.orientations) {
      const std::optional<LeverPlace> other =
          orientation.name == place.orientation
              ? std::nullopt
              : place_at(the_case_, as_it_is_, {place.panel, orientation.name}, power_w_);
      if (other && (!best || other->limit.power_w.value > best->limit.power_w.value)) {
        best = other;
      }
    }
    if (best) {
      push(place, best->standing,
           known_lever(place, LeverKind::orientation,
                       fmt::format("{} in place of {}", best->orientation, place.orientation),
                       *best));
    } else {
      refuse(placing_of(place), LeverKind::orientation,
             the_case_.orientations.size() == 1 ? "one orientation only"
                                                : "the others were not asked for");
    }
  }

  void add_solved(const LeverPlace& place, const SolvedChange& solved) {
    const auto own = std::ranges::find_if(solved.outcomes, [&](const Outcome& outcome) {
      return placing_of(outcome) == placing_of(place) && outcome.power_w == power_w_;
    });
    if (own != solved.outcomes.end()) {
      push(place, own->standing,
           solved_lever(place, report_.context.core, solved.change->lever, solved.change->words,
                        own->base_rise_mean_k, own->status, core_to_base(solved.change->the_case)));
    }
  }

private:
  void push(const LeverPlace& place, Standing changed, LeverRow row) {
    judge_lever(place, changed, power_w_, row);
    report_.rows.push_back(std::move(row));
  }

  [[nodiscard]] const PanelState& panel_of(const LeverPlace& place) const {
    return *std::ranges::find(the_case_.panels, place.panel, &PanelState::name);
  }

  void add_known(const LeverPlace& place, LeverKind lever, const Placing& other,
                 const std::string& to, const std::string& from) {
    const std::string change = fmt::format("{} in place of {}", to, from);
    if (const auto known = place_at(the_case_, as_it_is_, other, power_w_)) {
      push(place, known->standing, known_lever(place, lever, change, *known));
    }
  }

  const Case& the_case_;
  const AsItIs& as_it_is_;
  double power_w_;
  LeverReport& report_;
};

/// Where the results that were given are means over time and a steady flow takes their place.
std::vector<std::string> mean_notes(const AsItIs& as_it_is, const LeverReport& report) {
  std::vector<std::string> notes;
  for (const LeverPlace& place : report.places) {
    const auto known = std::ranges::find_if(as_it_is.known, [&](const Outcome& outcome) {
      return placing_of(outcome) == placing_of(place) && outcome.power_w == report.power_w;
    });
    if (known != as_it_is.known.end() && known->status == SolveStatus::time_average &&
        place.status == SolveStatus::converged) {
      notes.push_back(fmt::format(
          "{}, {}: the results given are a mean over time (rise {:.1f} K); changes are compared "
          "with the steady flow ({:.1f} K), like with like.",
          place.panel, place.orientation, known->base_rise_mean_k.value, place.rise_k.value));
    }
  }
  return notes;
}

std::vector<std::string> lever_notes(const AsItIs& as_it_is, const LeverPowers& powers,
                                     const LeverReport& report) {
  std::vector<std::string> notes = mean_notes(as_it_is, report);
  notes.emplace_back(
      "Changes are steady flows whose stability was not examined: real air may leave them. Solve "
      "the one you choose before you rely on it.");
  notes.push_back(fmt::format(
      "Kelvins are computed at {:g} W. Watts take the ratio of the rises there to hold up to the "
      "limit, with the exponent of the case as it is; of another panel state, finish or "
      "orientation both limits are known.",
      powers.own));
  const bool any_short = std::ranges::any_of(
      report.places, [](const LeverPlace& place) { return place.trend.n_points == 2; });
  if (any_short) {
    notes.push_back(fmt::format("An exponent without an interval comes from two powers, {:g} and "
                                "{:g} W (--from takes those of a solve).",
                                powers.lower, powers.own));
  }
  if (std::ranges::any_of(report.rows, [&](const LeverRow& row) {
        const auto place =
            std::ranges::find(report.places, placing_of(row), placing_of<LeverPlace>);
        return row.status && row.status != place->status;
      })) {
    notes.emplace_back("Where one of both is a mean over time (~), its swings are part of the "
                       "difference.");
  }
  notes.emplace_back("Every change is tried alone; two together do not add up.");
  return notes;
}

/// What every reader must know of what was compared; that stability was not examined stands in the
/// notes.
std::string warnings_of(const AsItIs& as_it_is, const std::vector<SolvedChange>& changes,
                        const LeverReport& report) {
  std::vector<Outcome> outcomes;
  const auto add = [&](Outcome outcome, const std::string& change) {
    std::erase_if(outcome.warnings, [](const std::string& warning) {
      return warning.starts_with("stability was not examined");
    });
    outcome.panel += change;
    outcomes.push_back(std::move(outcome));
  };
  for (const LeverPlace& place : report.places) {
    add(*outcome_as_it_is(as_it_is, placing_of(place), report.power_w), "");
    for (const SolvedChange& solved : changes) {
      for (const Outcome& outcome : solved.outcomes) {
        if (placing_of(outcome) == placing_of(place) && outcome.power_w == report.power_w) {
          add(outcome, fmt::format(" ({}: {})", name(solved.change->lever), solved.change->words));
        }
      }
    }
  }
  return warning_list(outcomes);
}

} // namespace

LeverReport lever_report(const Case& the_case, const LeverPowers& powers,
                         const std::vector<Placing>& chosen, const AsItIs& as_it_is,
                         const std::vector<SolvedChange>& changes,
                         const std::vector<AbsentLever>& absent) {
  LeverReport report;
  report.context = report_context(the_case);
  report.power_w = powers.own;
  Rows rows(the_case, as_it_is, powers.own, report);
  for (const Placing& placing : chosen) {
    const std::optional<LeverPlace> place = place_at(the_case, as_it_is, placing, powers.own);
    if (!place) {
      continue;
    }
    report.places.push_back(*place);
    rows.add_panels(*place);
    rows.add_compared_finish(*place);
    rows.add_turning(*place);
    for (const SolvedChange& solved : changes) {
      rows.add_solved(*place, solved);
    }
    for (const AbsentLever& lever : absent) {
      if (std::ranges::find(lever.placings, placing) != lever.placings.end()) {
        rows.refuse(placing, lever.lever, lever.reason);
      }
    }
  }
  rank_levers(report);
  report.notes = lever_notes(as_it_is, powers, report);
  report.warnings = warnings_of(as_it_is, changes, report);
  return report;
}

} // namespace tiltfin
