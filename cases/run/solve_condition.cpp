#include "cases/run/solve_condition.hpp"

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

/// What `solve` makes of the section, condition and air of one of the matrix.
template <class Solve>
auto solve_physical(const RunContext& run, const Chain& chain, const ChainCondition& condition,
                    const Solve& solve) {
  try {
    return solve(
        *chain.section, condition_of(run.the_case, chain, condition.power),
        AirRule{.constants = run.the_case.air, .room_temperature = run.the_case.room_temperature});
  } catch (const AirRangeError& error) {
    throw BeyondRange(
        fmt::format("{}: condition {}: {}", run.the_case.file, condition.id, error.what()),
        error.what());
  }
}

} // namespace

Solution solve_condition(const RunContext& run, const Chain& chain, const ChainCondition& condition,
                         const Solution* warm) {
  NestedOptions nested = nested_options(run, condition);
  nested.examine_stability = false;
  return solve_physical(run, chain, condition, [&](const auto&... physical) {
    return solve_nested(physical..., nested, warm);
  });
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
  return solve_physical(run, chain, condition, [&](const auto&... physical) {
    return examine_nested(physical..., nested_options(run, condition), steady);
  });
}

Solved refine_condition(const RunContext& run, const Chain& chain, const ChainCondition& condition,
                        Solution base) {
  Solved solved{std::move(base), {}};
  const AccuracyWish& wish = run.options.accuracy;
  if (wish.relative > 0.0 && solved.base.report.status != SolveStatus::stopped) {
    solved.finer = solve_physical(run, chain, condition, [&](const auto&... physical) {
      return refine_to(wish, physical..., nested_options(run, condition), solved.base);
    });
  }
  return solved;
}

Solution solve_condition_from(const RunContext& run, const Chain& chain,
                              const ChainCondition& condition, const Start& start) {
  return solve_physical(run, chain, condition, [&](const auto&... physical) {
    return solve_nested_from(physical..., nested_options(run, condition), start);
  });
}

Outcome outcome_of(const RunContext& run, const Chain& chain, const ChainCondition& condition,
                   const Solved& solved) {
  const Case& the_case = run.the_case;
  Outcome outcome = make_outcome(*chain.section, solved.reported(),
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
