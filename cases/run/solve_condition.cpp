#include "cases/run/solve_condition.hpp"

#include "cases/geometry/fan.hpp"
#include "cases/run/fan.hpp"
#include "post/numbers/fan_outcome.hpp"

#include <fmt/format.h>

namespace tiltfin {
namespace {

NestedOptions nested_options(const RunContext& run, const ChainCondition& condition) {
  NestedOptions nested;
  nested.examine_stability = run.options.examine_stability;
  nested.calm = run.the_case.calm;
  nested.resolution = run.the_case.resolution;
  nested.steady.stop = run.options.stop;
  nested.steady.watch = [&run, &condition](const SolveReport& report) {
    run.monitor.step(condition.id, report);
  };
  return nested;
}

/// What `solve` makes of the section, condition and air of one of the matrix, or of one section of
/// its fan.
template <class Solve>
auto solve_physical(const RunContext& run, const Chain& chain, const ChainCondition& condition,
                    const Condition& physical, const Solve& solve) {
  try {
    return solve(
        *chain.section, physical,
        AirRule{.constants = run.the_case.air, .room_temperature = run.the_case.room_temperature});
  } catch (const AirRangeError& error) {
    throw BeyondRange(
        fmt::format("{}: condition {}: {}", run.the_case.file, condition.id, error.what()),
        error.what());
  }
}

/// Of a solved section of the condition's fan, or of the condition.
Condition physical_of(const RunContext& run, const Chain& chain, const ChainCondition& condition,
                      bool is_in_fan, const FanPart& part) {
  const Condition whole = condition_of(run.the_case, chain, condition.power);
  return is_in_fan ? in_part(whole, part) : whole;
}

/// What becomes of a solution whose sections are gone through one by one.
template <class Change>
Solution change_parts(const RunContext& run, const Chain& chain, const ChainCondition& condition,
                      const Solution& solution, const Change& change) {
  const bool is_fan = !solution.others.empty();
  return for_each_part(solution, [&](const Solution& one) {
    return solve_physical(run, chain, condition,
                          physical_of(run, chain, condition, is_fan, one.part),
                          [&](const auto&... physical) { return change(one, physical...); });
  });
}

/// The condition by one section or by a fan of them.
Solution solve_parts(const RunContext& run, const Chain& chain, const ChainCondition& condition,
                     const SolvePart& solve, const Solution* from) {
  std::vector<FanPart> parts = fan_of(run.the_case.cooler, *chain.orientation);
  if (parts.size() > 1) {
    return solve_fan(*chain.section, std::move(parts), condition.power,
                     run.the_case.room_temperature, solve, from);
  }
  parts.front().power = condition.power;
  return solve(parts.front(), from, false);
}

} // namespace

Solution solve_condition(const RunContext& run, const Chain& chain, const ChainCondition& condition,
                         const Solution* warm) {
  NestedOptions nested = nested_options(run, condition);
  nested.examine_stability = false;
  const SolvePart solve = [&](const FanPart& part, const Solution* from, bool /*is_near*/) {
    return solve_physical(
        run, chain, condition, physical_of(run, chain, condition, true, part),
        [&](const auto&... physical) { return solve_nested(physical..., nested, from); });
  };
  return solve_parts(run, chain, condition, solve, warm);
}

Solution solve_or_from_rest(const RunContext& run, const Chain& chain,
                            const ChainCondition& condition, const WarmStart& start) {
  const Solution* warm = start.solution ? &*start.solution : nullptr;
  Solution solution = solve_condition(run, chain, condition, warm);
  const bool failed = warm != nullptr && solution.report.status == SolveStatus::not_converged;
  if ((failed || solution.report.left_start) && !start.file.empty()) {
    run.remarks.add(
        fmt::format("{}: {} did not converge from it: solved from rest", start.file, condition.id));
  }
  return failed ? solve_condition(run, chain, condition, nullptr) : solution;
}

Solution examine_condition(const RunContext& run, const Chain& chain,
                           const ChainCondition& condition, const Solution& steady) {
  return change_parts(run, chain, condition, steady,
                      [&](const Solution& one, const auto&... physical) {
                        return examine_nested(physical..., nested_options(run, condition), one);
                      });
}

Solved refine_condition(const RunContext& run, const Chain& chain, const ChainCondition& condition,
                        Solution base) {
  Solved solved{std::move(base), {}};
  const AccuracyWish& wish = run.options.accuracy;
  if (wish.relative > 0.0 && solved.base.report.status != SolveStatus::stopped) {
    Refinement finer;
    finer.solution = change_parts(
        run, chain, condition, solved.base, [&](const Solution& one, const auto&... physical) {
          Refinement refined = refine_to(wish, physical..., nested_options(run, condition), one);
          finer.verdict = finer.verdict.empty() ? refined.verdict : finer.verdict;
          return std::move(refined.solution);
        });
    solved.finer = std::move(finer);
  }
  return solved;
}

Solution solve_condition_from(const RunContext& run, const Chain& chain,
                              const ChainCondition& condition, const Solution& start,
                              const ChangeState& change) {
  const NestedOptions nested = nested_options(run, condition);
  const SolvePart solve = [&](const FanPart& part, const Solution* from, bool is_near) {
    return solve_physical(
        run, chain, condition, physical_of(run, chain, condition, true, part),
        [&](const auto&... physical) {
          if (is_near || from == nullptr) {
            return solve_nested(physical..., nested, from);
          }
          const State state = change ? change(from->problem, from->state) : from->state;
          return solve_nested_from(physical..., nested,
                                   {from->problem, state, from->film_temperature});
        });
  };
  return solve_parts(run, chain, condition, solve, &start);
}

Outcome outcome_of(const RunContext& run, const Chain& chain, const ChainCondition& condition,
                   const Solved& solved) {
  const Case& the_case = run.the_case;
  Outcome outcome = make_whole_outcome(*chain.section, solved.reported(),
                                       {.panel = chain.panel->name,
                                        .finish = chain.panel->finish,
                                        .orientation = chain.orientation->name,
                                        .power_w = condition.power,
                                        .room_temperature = the_case.room_temperature,
                                        .core_to_base_k_per_w = core_to_base(the_case)});
  if (solved.finer && !solved.finer->verdict.empty()) {
    outcome.warnings.push_back(solved.finer->verdict);
  }
  outcome.origin = condition.is_added ? PowerOrigin::added : PowerOrigin::listed;
  outcome.steady_rise_k = condition.steady_rise_k;
  const bool converged = solved.reported().report.status == SolveStatus::converged;
  if (!condition.is_added && !run.options.examine_stability && converged) {
    outcome.stability.state = Stability::skipped;
    outcome.warnings.emplace_back(
        "stability was not examined, as asked for: real air may leave the "
        "steady flow reported");
  }
  return outcome;
}

Outcome first_outcome_of(const RunContext& run, const Chain& chain, const ChainCondition& condition,
                         const Solution& steady) {
  Outcome outcome = outcome_of(run, chain, condition, {steady, {}});
  outcome.stability.state = Stability::awaited;
  outcome.warnings.emplace_back(
      "stability was not examined yet: real air may leave the steady flow reported");
  return outcome;
}

} // namespace tiltfin
