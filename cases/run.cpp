#include "cases/run.hpp"

#include "cases/restart.hpp"
#include "cases/results.hpp"
#include "post/fields.hpp"
#include "post/picture.hpp"
#include "solver/start.hpp"
#include "solver/steady.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <chrono>
#include <exception>
#include <mutex>
#include <optional>
#include <set>
#include <stdexcept>
#include <thread>

namespace tiltfin {
namespace {

namespace fs = std::filesystem;

constexpr const char* mirrored_start = "mirrored";
constexpr const char* search_start = "search";

/// One condition of the matrix.
struct Slot {
  std::string id;
  double power = 0.0; ///< [W]
  bool chosen = false;
  std::optional<Outcome> outcome;
};

/// Conditions of one panel state and orientation, powers ascending: each starts from the one
/// before.
struct Chain {
  const PanelState* panel = nullptr;
  const Orientation* orientation = nullptr;
  const Section* section = nullptr;
  std::vector<Slot> slots;
};

/// Counts what is done and tells the caller, one thread at a time.
class Monitor {
public:
  Monitor(const std::vector<Chain>& chains, const std::function<void(const Progress&)>& tell)
      : tell_(tell) {
    for (const Chain& chain : chains) {
      for (const Slot& slot : chain.slots) {
        todo_ += slot.chosen && !slot.outcome ? 1 : 0;
      }
    }
  }

  void step(const std::string& id, const SolveReport& report) {
    const std::lock_guard lock(mutex_);
    report_progress(id, report);
  }

  void finished(const std::string& id, const SolveReport& report) {
    const std::lock_guard lock(mutex_);
    ++done_;
    report_progress(id, report);
  }

private:
  void report_progress(const std::string& id, const SolveReport& report) {
    if (!tell_) {
      return;
    }
    const std::chrono::duration<double> elapsed = std::chrono::steady_clock::now() - start_;
    Progress progress{.done = done_,
                      .total = todo_,
                      .condition = id,
                      .step = report.steps,
                      .residual = report.residual};
    if (done_ > 0) {
      progress.seconds_left = elapsed.count() / done_ * (todo_ - done_);
    }
    tell_(progress);
  }

  const std::function<void(const Progress&)>& tell_;
  std::mutex mutex_;
  std::chrono::steady_clock::time_point start_ = std::chrono::steady_clock::now();
  int todo_ = 0;
  int done_ = 0;
};

bool is_chosen(const std::string& id, const RunOptions& options) {
  const std::vector<std::string>& only = options.only;
  return only.empty() || std::any_of(only.begin(), only.end(), [&](const std::string& text) {
           return options.only_is_whole ? id == text : id.find(text) != std::string::npos;
         });
}

std::vector<Chain> make_chains(const Case& the_case, const RunOptions& options) {
  std::vector<Chain> chains;
  std::set<std::string> ids;
  bool any = false;
  for (const PanelState& panel : the_case.panels) {
    for (std::size_t k = 0; k < the_case.orientations.size(); ++k) {
      const Orientation& orientation = the_case.orientations[k];
      Chain chain{.panel = &panel,
                  .orientation = &orientation,
                  .section = panel.standing.empty() ? &panel.section : &panel.standing[k],
                  .slots = {}};
      for (const double power : the_case.powers) {
        const std::string id = condition_id(panel.name, orientation.name, power);
        if (!ids.insert(id).second) {
          throw InputError(fmt::format("two conditions would be called {}: panel states, "
                                       "orientations and powers must differ",
                                       id));
        }
        const bool chosen = is_chosen(id, options);
        any = any || chosen;
        chain.slots.push_back({.id = id, .power = power, .chosen = chosen, .outcome = {}});
      }
      chains.push_back(std::move(chain));
    }
  }
  if (!any) {
    throw InputError(fmt::format("--only {}: no condition has this in its name; there are {}",
                                 fmt::join(options.only, " "), fmt::join(ids, ", ")));
  }
  return chains;
}

void check_orientations(const Case& the_case, const std::vector<Chain>& chains) {
  for (const Chain& chain : chains) {
    const bool any = std::any_of(chain.slots.begin(), chain.slots.end(),
                                 [](const Slot& slot) { return slot.chosen; });
    if (any && !is_in_section(*chain.orientation)) {
      throw InputError(fmt::format(
          "{}: found {}, allowed upright, flat-up, flat-down, upside-down or a tilt; {}",
          the_case.orientations_place, chain.orientation->name,
          out_of_section(*chain.orientation)));
    }
  }
}

void keep_finished(std::vector<Chain>& chains, const RunOptions& options) {
  for (Chain& chain : chains) {
    for (Slot& slot : chain.slots) {
      slot.outcome = finished_outcome(options.directory, slot.id);
      const bool is_skipped = slot.outcome && slot.outcome->stability == stability_skipped;
      if (is_skipped && slot.chosen && options.examine_stability) {
        slot.outcome.reset();
      }
    }
  }
}

/// The solution that the next power starts from, and the finer one that is reported where an
/// accuracy is wished for.
struct Solved {
  Solution base;
  std::optional<Refinement> finer;

  [[nodiscard]] const Solution& reported() const { return finer ? finer->solution : base; }
};

void write_condition(const RunOptions& options, const std::string& id, const Section& section,
                     const Solved& solved, const Outcome& outcome) {
  if (options.directory.empty()) {
    return;
  }
  const Solution& solution = solved.reported();
  write_fields(options.directory / "fields" / (id + ".vtr"), section, solution, outcome);
  write_text(options.directory / "pictures" / (id + ".svg"),
             picture_svg(section, solution, outcome));
  if (solved.base.report.status == SolveStatus::converged) {
    write_restart(restart_file(options.directory, id), solved.base);
  } else {
    fs::remove(restart_file(options.directory, id));
  }
  if (options.keep_states) {
    write_restart(state_file(options.directory, id), solution);
  }
  write_text(condition_file(options.directory, id),
             outcome_to_json(outcome)); // last: marks it finished
}

Condition condition_of(const Case& the_case, const Chain& chain, const Slot& slot) {
  return {.gravity_x = the_case.gravity * chain.orientation->down[0],
          .gravity_y = the_case.gravity * chain.orientation->down[1],
          .power = slot.power};
}

/// The condition that all others start from a second time.
struct OtherStart {
  const Chain* chain = nullptr;
  Solution solution;
};

NestedOptions nested_options(const Case& the_case, const RunOptions& options, const Slot& slot,
                             Monitor& monitor) {
  NestedOptions nested;
  nested.examine_stability = options.examine_stability;
  nested.calm = the_case.calm;
  nested.resolution = the_case.resolution;
  nested.steady.stop = options.stop;
  nested.steady.watch = [&](const SolveReport& report) { monitor.step(slot.id, report); };
  return nested;
}

AirRule air_rule(const Case& the_case) {
  return {.constants = the_case.air, .room_temperature = the_case.room_temperature};
}

Solved solve_condition(const Case& the_case, const RunOptions& options, const Chain& chain,
                       const Slot& slot, const Solution* warm, Monitor& monitor) {
  const NestedOptions nested = nested_options(the_case, options, slot, monitor);
  const AirRule air = air_rule(the_case);
  const Section& section = *chain.section;
  const Condition condition = condition_of(the_case, chain, slot);
  Solved solved{solve_nested(section, condition, air, nested, warm), {}};
  if (options.accuracy.relative > 0.0 && solved.base.report.status != SolveStatus::stopped) {
    solved.finer = refine_to(options.accuracy, section, condition, air, nested, solved.base);
  }
  return solved;
}

/// Starts one after the other until one leads to another flow; what the last one led to.
template <class From>
Solution first_other(const Solution& solution, const From& from_own) {
  struct Turns {
    int x;
    int y;
  };
  constexpr double strength = 8.0; // times the flow found: strong enough to sweep it away
  Solution last = from_own(mirrored(solution.problem, solution.state));
  for (const Turns turns : {Turns{1, 1}, Turns{2, 2}, Turns{2, 1}, Turns{1, 2}}) {
    for (const double sign : {1.0, -1.0}) {
      if (last.report.status == SolveStatus::stopped || is_other_flow(solution, last)) {
        return last;
      }
      last = from_own(stirred(solution.problem, solution.state, turns.x, turns.y, sign * strength));
    }
  }
  return last;
}

/// Solves a condition once more from the other start; nothing when there is none for its panel.
std::optional<Solution> solve_otherwise(const Case& the_case, const RunOptions& options,
                                        const Chain& chain, const Slot& slot,
                                        const Solution& solution, const OtherStart* other,
                                        Monitor& monitor) {
  const auto from = [&](const Problem& problem, const State& state, double film_temperature) {
    return solve_nested_from(*chain.section, condition_of(the_case, chain, slot),
                             air_rule(the_case), nested_options(the_case, options, slot, monitor),
                             {problem, state, film_temperature});
  };
  const auto from_own = [&](const State& state) {
    return from(solution.problem, state, solution.film_temperature);
  };
  if (options.start == mirrored_start) {
    return from_own(mirrored(solution.problem, solution.state));
  }
  if (options.start == search_start) {
    return first_other(solution, from_own);
  }
  if (other != nullptr && other->chain->section == chain.section) {
    return from(other->solution.problem, other->solution.state, other->solution.film_temperature);
  }
  return std::nullopt;
}

Outcome outcome_of(const Case& the_case, const RunOptions& options, const Chain& chain,
                   const Slot& slot, const Solved& solved) {
  Outcome outcome = make_outcome(*chain.section, solved.reported(),
                                 {.panel = chain.panel->name,
                                  .finish = chain.panel->finish,
                                  .orientation = chain.orientation->name,
                                  .power_w = slot.power,
                                  .room_temperature = the_case.room_temperature,
                                  .die_to_base_k_per_w = core_to_base(the_case)});
  if (solved.finer && !solved.finer->verdict.empty()) {
    outcome.warnings.push_back(solved.finer->verdict);
  }
  if (!options.examine_stability && solved.reported().report.status == SolveStatus::converged) {
    outcome.stability = stability_skipped;
    outcome.warnings.emplace_back(
        "stability was not examined, as asked for: real air may leave the "
        "steady flow reported");
  }
  return outcome;
}

std::optional<Solution> solution_on_disk(const Case& the_case, const RunOptions& options,
                                         const Chain& chain, const Slot* slot) {
  if (slot == nullptr || options.directory.empty()) {
    return std::nullopt;
  }
  return read_restart(restart_file(options.directory, slot->id), the_case, *chain.section,
                      condition_of(the_case, chain, *slot));
}

bool is_same_mesh(const TensorMesh& a, const TensorMesh& b) {
  const auto is_same = [](const Axis& p, const Axis& q) {
    bool same = p.n() == q.n();
    for (int k = 0; same && k <= p.n(); ++k) {
      same = p.at(k) == q.at(k);
    }
    return same;
  };
  return is_same(a.x, b.x) && is_same(a.y, b.y) && a.region == b.region && a.medium == b.medium;
}

/// The same condition of the nearest neighbour that has it on the same mesh.
std::optional<Solution> solution_of_neighbour(const Case& the_case, const RunOptions& options,
                                              const Chain& chain, const Slot& slot) {
  for (const Neighbour& neighbour : options.neighbours) {
    RunOptions there;
    there.directory = neighbour.directory;
    for (const Chain& other : make_chains(*neighbour.the_case, there)) {
      const auto same = std::find_if(other.slots.begin(), other.slots.end(),
                                     [&](const Slot& s) { return s.id == slot.id; });
      if (same == other.slots.end()) {
        continue;
      }
      std::optional<Solution> solution =
          solution_on_disk(*neighbour.the_case, there, other, &*same);
      if (solution &&
          is_same_mesh(solution->problem.mesh, make_mesh(*chain.section, the_case.resolution))) {
        return solution;
      }
    }
  }
  return std::nullopt;
}

/// Where a condition starts from: itself at a neighbour, else the one before it in its chain
/// (`at_hand`, or on disk).
std::optional<Solution> start_of(const Case& the_case, const RunOptions& options,
                                 const Chain& chain, const Slot* before, const Slot& slot,
                                 std::optional<Solution> at_hand) {
  std::optional<Solution> same = solution_of_neighbour(the_case, options, chain, slot);
  if (same || at_hand) {
    return same ? std::move(same) : std::move(at_hand);
  }
  return solution_on_disk(the_case, options, chain, before);
}

void drop_restart(const RunOptions& options, const Slot* slot) {
  if (slot != nullptr && !options.directory.empty()) {
    fs::remove(restart_file(options.directory, slot->id));
  }
}

/// The solution of the condition that `options.start` names; nothing when it names none.
std::optional<OtherStart> solve_start(const Case& the_case, const RunOptions& options,
                                      const std::vector<Chain>& chains, Monitor& monitor) {
  for (const Chain& chain : chains) {
    for (const Slot& slot : chain.slots) {
      if (slot.id == options.start) {
        return OtherStart{&chain,
                          solve_condition(the_case, options, chain, slot, nullptr, monitor).base};
      }
    }
  }
  return std::nullopt;
}

void check_start(const RunOptions& options, const std::vector<Chain>& chains) {
  if (options.start.empty() || options.start == mirrored_start || options.start == search_start) {
    return;
  }
  const Chain* named = nullptr;
  std::vector<std::string> ids;
  for (const Chain& chain : chains) {
    for (const Slot& slot : chain.slots) {
      ids.push_back(slot.id);
      named = slot.id == options.start ? &chain : named;
    }
  }
  if (named == nullptr) {
    throw InputError(fmt::format("--start: found {}, allowed {}, {} or one of {}", options.start,
                                 mirrored_start, search_start, fmt::join(ids, ", ")));
  }
  if (!is_in_section(*named->orientation)) {
    throw InputError("--start " + options.start + ": " + out_of_section(*named->orientation));
  }
  const bool any = std::any_of(chains.begin(), chains.end(), [&](const Chain& chain) {
    return chain.section == named->section &&
           std::any_of(chain.slots.begin(), chain.slots.end(),
                       [](const Slot& slot) { return slot.chosen; });
  });
  if (!any) {
    throw InputError(
        fmt::format("--start {}: no chosen condition has its panel state {} and the same "
                    "surfaces near the case",
                    options.start, named->panel->name));
  }
}

/// The outcome with the second flow that another start leads to, if one is looked for; nothing when
/// the caller asked to stop.
std::optional<Outcome> outcome_with_second(const Case& the_case, const RunOptions& options,
                                           const Chain& chain, const Slot& slot,
                                           const Solved& solved, const OtherStart* other,
                                           Monitor& monitor) {
  const std::optional<Solution> second =
      solve_otherwise(the_case, options, chain, slot, solved.base, other, monitor);
  if (second && second->report.status == SolveStatus::stopped) {
    return std::nullopt;
  }
  Outcome outcome = outcome_of(the_case, options, chain, slot, solved);
  if (second) {
    add_second_flow(*chain.section, solved.base, *second, the_case.room_temperature, outcome);
  }
  return outcome;
}

/// Solves what is chosen and not finished; `slot.outcome` is set where there is a result.
void solve_chain(const Case& the_case, const RunOptions& options, Chain& chain,
                 const OtherStart* other, const std::atomic<bool>& failed, Monitor& monitor) {
  const Slot* before = nullptr;     // the last one with an outcome
  std::optional<Solution> previous; // its solution, when it converged and is at hand
  for (Slot& slot : chain.slots) {
    if (slot.outcome) { // kept from an earlier run
      before = &slot;
      previous.reset();
      continue;
    }
    if (!slot.chosen) {
      continue;
    }
    if (failed || (options.stop != nullptr && *options.stop)) {
      return;
    }
    previous = start_of(the_case, options, chain, before, slot, std::move(previous));
    Solved solved =
        solve_condition(the_case, options, chain, slot, previous ? &*previous : nullptr, monitor);
    if (solved.reported().report.status == SolveStatus::stopped) {
      return;
    }
    slot.outcome = outcome_with_second(the_case, options, chain, slot, solved, other, monitor);
    if (!slot.outcome) {
      return;
    }
    write_condition(options, slot.id, *chain.section, solved, *slot.outcome);
    drop_restart(options, before); // has served
    monitor.finished(slot.id, solved.reported().report);
    before = &slot;
    previous.reset();
    if (solved.base.report.status == SolveStatus::converged) {
      previous = std::move(solved.base);
    }
  }
}

} // namespace

std::string out_of_section(const Orientation& orientation) {
  return fmt::format("orientation {}: gravity has a part along z, and this section holds x and y "
                     "only; the section of x and z can answer: describe the cooler with length and "
                     "depth exchanged (and fins_run of a block turned between across and "
                     "along) and ask for upright",
                     orientation.name);
}

int threads_for(int jobs, int n_chains) {
  const int cores = std::max(1, static_cast<int>(std::thread::hardware_concurrency()));
  return std::clamp(jobs > 0 ? jobs : cores, 1, std::max(1, n_chains));
}

std::vector<Outcome> run_case(const Case& the_case, const RunOptions& options,
                              const std::function<void(const Progress&)>& progress) {
  std::vector<Chain> chains = make_chains(the_case, options);
  check_orientations(the_case, chains);
  check_start(options, chains);
  if (!options.directory.empty()) {
    claim_directory(options.directory, the_case, options.resume);
    if (options.resume) {
      keep_finished(chains, options);
    }
  }

  Monitor monitor(chains, progress);
  const std::optional<OtherStart> other = solve_start(the_case, options, chains, monitor);
  const int n_chains = static_cast<int>(chains.size());
  const int n_threads = threads_for(options.jobs, n_chains);
  std::vector<std::exception_ptr> failures(chains.size());
  std::atomic<bool> failed = false;
#pragma omp parallel for schedule(dynamic, 1) num_threads(n_threads)
  for (int c = 0; c < n_chains; ++c) {
    const auto k = static_cast<std::size_t>(c);
    try {
      solve_chain(the_case, options, chains[k], other ? &*other : nullptr, failed, monitor);
    } catch (...) {
      failures[k] = std::current_exception();
      failed = true;
    }
  }
  for (const std::exception_ptr& failure : failures) {
    if (failure) {
      std::rethrow_exception(failure);
    }
  }

  std::vector<Outcome> outcomes;
  for (Chain& chain : chains) {
    for (Slot& slot : chain.slots) {
      if (slot.outcome) {
        outcomes.push_back(std::move(*slot.outcome));
      }
    }
  }
  return outcomes;
}

ReportContext report_context(const Case& the_case) {
  constexpr double zero_celsius = 273.15; // [K]
  return {.title = the_case.title,
          .room_temperature_c = the_case.room_temperature - zero_celsius,
          .limit_temperature_c = the_case.limit_temperature - zero_celsius,
          .die_to_base_k_per_w = core_to_base(the_case),
          .notes = the_case.notes};
}

void write_tables(const fs::path& directory, std::span<const Outcome> outcomes,
                  std::span<const TrendRow> trends, const ReportContext& context) {
  write_text(directory / "summary.csv", summary_csv(outcomes));
  write_text(directory / "summary.json", summary_json(outcomes, trends, context));
  write_text(directory / "trend.csv", trend_csv(trends));
}

} // namespace tiltfin
