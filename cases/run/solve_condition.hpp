#pragma once
// One condition of the matrix: from section, gravity and power to its solution and its numbers.

#include "cases/input/input_error.hpp"
#include "cases/run/accuracy.hpp"
#include "cases/run/chains.hpp"
#include "cases/run/options.hpp"
#include "cases/run/progress.hpp"
#include "cases/run/remarks.hpp"
#include "solver/steady.hpp"

#include <functional>
#include <optional>
#include <string>
#include <utility>

namespace tiltfin {

/// What all conditions of a run share.
struct RunContext {
  const Case& the_case;
  const RunOptions& options;
  Monitor& monitor;
  Remarks& remarks;
};

/// A solution, and the finer one that is reported where an accuracy is wished for.
struct Solved {
  Solution base;
  std::optional<Refinement> finer;

  [[nodiscard]] const Solution& reported() const { return finer ? finer->solution : base; }
};

/// What a condition asks for leaves the tables of air. Thrown by all that solve one, below.
struct BeyondRange : InputError {
  BeyondRange(const std::string& message, std::string reason)
      : InputError(message), why(std::move(reason)) {}
  std::string why; ///< without file and condition
};

/// From `warm`; null: from rest; whether air leaves a steady state is not asked. Its status says
/// whether it was stopped or did not converge.
[[nodiscard]] Solution solve_condition(const RunContext& run, const Chain& chain,
                                       const ChainCondition& condition, const Solution* warm);

/// What a condition starts from; nothing: from rest.
struct WarmStart {
  std::optional<Solution> solution;
  std::string file; ///< that it was read from; empty: it was at hand
};

/// The same; from rest where nothing comes of the start, which is said of one that was read.
[[nodiscard]] Solution solve_or_from_rest(const RunContext& run, const Chain& chain,
                                          const ChainCondition& condition, const WarmStart& start);

/// What becomes of a steady state when it is examined.
[[nodiscard]] Solution examine_condition(const RunContext& run, const Chain& chain,
                                         const ChainCondition& condition, const Solution& steady);

/// With a finer solution, if an accuracy is wished for.
[[nodiscard]] Solved refine_condition(const RunContext& run, const Chain& chain,
                                      const ChainCondition& condition, Solution base);

/// A state made of another on the same mesh.
using ChangeState = std::function<State(const Problem&, const State&)>;

/// The same condition from another start: what `change` (none: nothing) makes of the states of
/// `start`, on any mesh of the chain's section.
[[nodiscard]] Solution solve_condition_from(const RunContext& run, const Chain& chain,
                                            const ChainCondition& condition, const Solution& start,
                                            const ChangeState& change = {});

/// The condition's numbers, without a second flow.
[[nodiscard]] Outcome outcome_of(const RunContext& run, const Chain& chain,
                                 const ChainCondition& condition, const Solved& solved);

/// The numbers of a steady state that is still to be examined.
[[nodiscard]] Outcome first_outcome_of(const RunContext& run, const Chain& chain,
                                       const ChainCondition& condition, const Solution& steady);

} // namespace tiltfin
