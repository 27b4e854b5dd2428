#include "cases/choose/spacing.hpp"

#include "cases/choose/choice_power.hpp"
#include "cases/choose/spacing_files.hpp"
#include "cases/choose/spacing_result.hpp"
#include "cases/choose/weights.hpp"
#include "cases/file/conditions.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <iterator>
#include <span>

namespace tiltfin {
namespace {

namespace fs = std::filesystem;

// How wide gaps are looked at unless the user says.
constexpr double usual_max_gap_mm = 20.0;
constexpr double usual_widening = 3.0; // times the gap as drawn

/// The layout's name; it is added when it is new.
std::string layout_of(SpacingSearch& search, const FinArray& array) {
  std::string name = layout_name(array);
  if (search.layouts.count(name) == 0) {
    search.layouts.emplace(name, LaidOut{array, with_fins(*search.the_case, array), {}});
  }
  return name;
}

double or_default(const std::optional<double>& given, const std::optional<double>& in_case,
                  double usual) {
  return given.value_or(in_case.value_or(usual));
}

GapLimits limits_of(const Case& the_case, double drawn_gap_mm, const SpacingOptions& options) {
  GapLimits limits;
  const double gap = or_default(options.min_gap_mm, the_case.spacing.min_gap_mm, usual_min_gap_mm);
  const bool is_usual = !options.min_gap_mm && !the_case.spacing.min_gap_mm;
  limits.min_gap = gap / 1000.0;
  const double widest_mm = std::max({usual_max_gap_mm, usual_widening * drawn_gap_mm, gap});
  limits.max_gap = options.max_gap_mm.value_or(widest_mm) / 1000.0;
  limits.text = fmt::format("Gaps of {:g} mm or more{}, at most {:g} mm", gap,
                            is_usual ? " (default, common practice)" : "", 1000.0 * limits.max_gap);
  if (1000.0 * limits.max_gap < gap) {
    throw InputError(
        fmt::format("--max-gap-mm: found {:g}, allowed at least the smallest gap, {:g}",
                    *options.max_gap_mm, gap));
  }
  return limits;
}

std::vector<double> in_metres(std::vector<double> values_mm, double fallback) {
  for (double& value : values_mm) {
    value /= 1000.0;
  }
  return values_mm.empty() ? std::vector<double>{fallback} : values_mm;
}

void check_thickness(const std::vector<double>& thicknesses, const Case& the_case,
                     const SpacingOptions& options) {
  const double least = or_default(options.min_thickness_mm, the_case.spacing.min_thickness_mm,
                                  usual_min_thickness_mm);
  for (const double thickness : thicknesses) {
    if (1000.0 * thickness < least - 1e-9) {
      throw InputError(fmt::format(
          "{}: found {:g}, allowed at least the smallest thickness, {:g} mm (--min-thickness-mm or "
          "spacing.min_thickness_mm)",
          options.thicknesses_mm.empty() ? the_case.file + ": thickness of the fins, mm"
                                         : std::string("--thickness-mm"),
          1000.0 * thickness, least));
    }
  }
}

/// Every thickness with every height. Both ends of every range are laid out, so that what does not
/// fit is refused before anything is solved.
void add_shapes(SpacingSearch& search, const SpacingOptions& options) {
  const FinArray& drawn = search.drawn;
  if (!options.heights_mm.empty() && drawn.kind == FinKind::plates) {
    throw InputError(
        "--height-mm: found a height for plates, allowed only with [block]: the height "
        "of a stack is the outer size that stays");
  }
  const std::vector<double> thicknesses = in_metres(options.thicknesses_mm, drawn.thickness);
  check_thickness(thicknesses, *search.the_case, options);
  for (const double thickness : thicknesses) {
    for (const double height : in_metres(options.heights_mm, drawn.height)) {
      FinArray array = drawn;
      array.thickness = thickness;
      array.height = height;
      const CountRange range = counts_for_gaps(array, search.limits.min_gap, search.limits.max_gap);
      if (range.fewest > range.most) {
        throw InputError(fmt::format(
            "{}: found no whole number of {} of {:g} mm in {:g} mm with gaps of {:g} to {:g} mm, "
            "allowed other limits (--min-gap-mm, --max-gap-mm) or another thickness",
            search.the_case->file, drawn.kind == FinKind::plates ? "plates" : "fins",
            1000.0 * thickness, 1000.0 * drawn.outer, 1000.0 * search.limits.min_gap,
            1000.0 * search.limits.max_gap));
      }
      search.shapes.push_back({array, range});
      layout_of(search, with_count(array, range.fewest));
      layout_of(search, with_count(array, range.most));
    }
  }
}

void add_goals(SpacingSearch& search, const std::vector<double>& weights) {
  const Case& the_case = *search.the_case;
  for (const PanelState& panel : the_case.panels) {
    SpacingGoal together{panel.name, "", {}, {}};
    for (std::size_t k = 0; k < the_case.orientations.size(); ++k) {
      const std::string& orientation = the_case.orientations[k].name;
      const std::string id = condition_id(panel.name, orientation, search.power_w);
      search.goals.push_back({panel.name, orientation, {id}, {1.0}});
      if (weights[k] > 0.0) {
        together.ids.push_back(id);
        together.shares.push_back(weights[k]);
      }
    }
    search.goals.push_back(together);
  }
}

void want(const SpacingGoal& goal, const std::string& layout, Wanted& wanted) {
  std::vector<std::string>& ids = wanted[layout];
  ids.insert(ids.end(), goal.ids.begin(), goal.ids.end());
}

/// The layouts that the search starts from, and the one that the case draws.
Wanted first_wanted(SpacingSearch& search, std::span<const SpacingGoal> goals, int first_layouts) {
  Wanted wanted;
  for (const SpacingGoal& goal : goals) {
    for (const FinShape& shape : search.shapes) {
      for (const int count : first_counts(shape.range.fewest, shape.range.most, first_layouts)) {
        want(goal, layout_of(search, with_count(shape.array, count)), wanted);
      }
    }
    want(goal, layout_of(search, search.drawn), wanted);
  }
  return wanted;
}

Wanted next_wanted(SpacingSearch& search, std::span<const SpacingGoal> goals) {
  Wanted wanted;
  for (const SpacingGoal& goal : goals) {
    for (const FinShape& shape : search.shapes) {
      const std::optional<int> count = next_count(known_of(search, goal, shape));
      if (count) {
        want(goal, layout_of(search, with_count(shape.array, *count)), wanted);
      }
    }
  }
  return wanted;
}

/// Every power of the conditions that the best layouts are best for.
Wanted all_powers(const SpacingSearch& search, const std::vector<SpacingBest>& all) {
  Wanted wanted;
  for (const SpacingBest& best : all) {
    for (const Orientation& orientation : search.the_case->orientations) {
      if (best.orientation.empty() || best.orientation == orientation.name) {
        for (const double power : search.the_case->powers) {
          wanted[best.layout.name].push_back(condition_id(best.panel, orientation.name, power));
        }
      }
    }
  }
  return wanted;
}

/// Examines the best layouts and the drawn one at the power of the search, from the flows that were
/// ranked. A mean over time has no steady flow to examine: it stays what it is.
bool examine(SpacingSearch& search, const std::vector<SpacingBest>& all, const LayoutRun& run) {
  Wanted wanted;
  for (const SpacingBest& best : all) {
    const auto goal = std::ranges::find(search.goals, placing_of(best), placing_of<SpacingGoal>);
    want(*goal, best.layout.name, wanted);
    want(*goal, layout_name(search.drawn), wanted);
  }
  for (auto& [layout_name, ids] : wanted) {
    const LaidOut& ranked = search.layouts.at(layout_name);
    LaidOut& examined =
        search.examined.emplace(layout_name, LaidOut{ranked.array, ranked.the_case, {}})
            .first->second;
    for (const std::string& id : ids) {
      if (ranked.outcomes.at(id).status != SolveStatus::converged) {
        examined.outcomes.emplace(id, ranked.outcomes.at(id));
      }
    }
  }
  return solve_layouts(search.examined, wanted, run);
}

std::vector<SpacingBest> best_of_all(const SpacingSearch& search,
                                     std::span<const SpacingGoal> goals) {
  std::vector<SpacingBest> all;
  for (const SpacingGoal& goal : goals) {
    if (const std::optional<SpacingBest> best = best_of(search, goal)) {
      all.push_back(*best);
    }
  }
  return all;
}

/// The layouts of every round of the search, until no gap is left to try, and the best of them at
/// every power. False when the caller asked to stop.
bool search_layouts(SpacingSearch& search, std::span<const SpacingGoal> goals, int first_layouts,
                    const LayoutRun& run) {
  if (search.drawn.kind == FinKind::along) { // the others start from it
    Wanted drawn;
    for (const SpacingGoal& goal : goals) {
      want(goal, layout_of(search, search.drawn), drawn);
    }
    if (!solve_layouts(search.layouts, drawn, run)) {
      return false;
    }
  }
  for (Wanted wanted = first_wanted(search, goals, first_layouts); !wanted.empty();
       wanted = next_wanted(search, goals)) {
    if (!solve_layouts(search.layouts, wanted, run)) {
      return false;
    }
  }
  return solve_layouts(search.layouts, all_powers(search, best_of_all(search, goals)), run);
}

void check_in_section(const Case& the_case) {
  for (std::size_t k = 0; k < the_case.orientations.size(); ++k) {
    check_in_section(the_case.panels.front().section_in(k), the_case.orientations[k],
                     the_case.orientations_place);
  }
}

/// Everything that is known before anything is solved; `the_case` has the power in its list.
SpacingSearch begin_search(const Case& the_case, double power_w, const std::vector<double>& weights,
                           const SpacingOptions& options) {
  SpacingSearch search;
  search.drawn = fin_array(the_case);
  check_in_section(the_case);
  search.power_w = power_w;
  search.the_case = &the_case;
  search.limits = limits_of(the_case, 1000.0 * search.drawn.gap, options);
  add_shapes(search, options);
  add_goals(search, weights);
  return search;
}

/// Panel states and orientations by themselves.
std::vector<SpacingGoal> single_goals(const SpacingSearch& search) {
  std::vector<SpacingGoal> goals;
  std::ranges::copy_if(search.goals, std::back_inserter(goals),
                       [](const SpacingGoal& goal) { return !goal.orientation.empty(); });
  return goals;
}

LayoutRun ranking_run(const SpacingOptions& options,
                      const std::function<void(const std::string&)>& tell) {
  return {options.directory / "layouts", false, {}, options.jobs, options.stop, tell};
}

bool examine_best(SpacingSearch& search, const std::vector<SpacingBest>& all,
                  const SpacingOptions& options,
                  const std::function<void(const std::string&)>& tell) {
  return options.skip_stability ||
         examine(search, all,
                 {options.directory / "examined", true, options.directory / "layouts", options.jobs,
                  options.stop, tell});
}

} // namespace

std::optional<SpacingReport> find_spacing(const Case& original, const SpacingOptions& options,
                                          const std::function<void(const std::string&)>& tell) {
  const double power = choice_power(original, options.power_w);
  const Case the_case = with_power(original, power);
  const std::vector<double> weights = orientation_weights(options.weights, the_case.orientations);
  SpacingSearch search = begin_search(the_case, power, weights, options);
  const LayoutRun run = ranking_run(options, tell);
  // First each by itself, as in shares: what starts from what is the same.
  if (!search_layouts(search, single_goals(search), options.first_layouts, run) ||
      !search_layouts(search, search.goals, options.first_layouts, run)) {
    return std::nullopt;
  }
  std::vector<SpacingBest> all = best_of_all(search, search.goals);
  if (!examine_best(search, all, options, tell)) {
    return std::nullopt;
  }
  SpacingReport report = spacing_report(search);
  for (SpacingBest& best : all) {
    add_limits(search, best);
  }
  report.best = all;
  report.weights_text = weights_text(weights, the_case.orientations);
  write_spacing(options.directory, original, report, search.layouts);
  return report;
}

bool search_spacing_of(const Case& original, const SpacingOptions& options,
                       std::span<const Placing> chosen,
                       const std::function<void(const std::string&)>& tell) {
  const double power = choice_power(original, options.power_w);
  const Case the_case = with_power(original, power);
  SpacingSearch search = begin_search(
      the_case, power, orientation_weights(options.weights, the_case.orientations), options);
  std::vector<SpacingGoal> goals = single_goals(search);
  std::erase_if(goals, [&](const SpacingGoal& goal) {
    return std::ranges::count(chosen, placing_of(goal)) == 0;
  });
  return search_layouts(search, goals, options.first_layouts, ranking_run(options, tell)) &&
         examine_best(search, best_of_all(search, goals), options, tell);
}

} // namespace tiltfin
