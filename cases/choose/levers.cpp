#include "cases/choose/levers.hpp"

#include "cases/choose/choice_power.hpp"
#include "cases/choose/fin_array.hpp"
#include "cases/choose/finished_results.hpp"
#include "cases/choose/lever_changes.hpp"
#include "cases/choose/lever_result.hpp"
#include "cases/file/stored.hpp"
#include "cases/run/chains.hpp"
#include "cases/run/parallel.hpp"
#include "cases/run/results.hpp"
#include "cases/run/run.hpp"
#include "mesh/index.hpp"
#include "post/text/text_file.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <mutex>
#include <utility>

namespace tiltfin {
namespace {

namespace fs = std::filesystem;

/// For the trend: the next lower power of the case, else half.
double lower_power(const Case& the_case, double power) {
  double lower = 0.0;
  for (const double other : the_case.powers) {
    lower = other < power ? other : lower;
  }
  return lower > 0.0 ? lower : 0.5 * power;
}

void check_base(const Case& the_case) {
  for (const PanelState& panel : the_case.panels) {
    if (panel.sections.front().base < 0) {
      throw InputError(fmt::format("{}: found a case without a base (panel {}), allowed cases with "
                                   "one: levers are judged by the rise of the base",
                                   the_case.file, panel.name));
    }
  }
}

/// Panel states and orientations that are asked for.
std::vector<Placing> chosen_placings(const Case& the_case, const LeverOptions& options) {
  const std::vector<Chain> chains = make_chains(the_case, options.only, false);
  check_orientations(the_case, chains);
  std::vector<Placing> placings;
  for (const Chain& chain : chains) {
    if (any_chosen(chain)) {
      placings.push_back({chain.panel->name, chain.orientation->name});
    }
  }
  return placings;
}

/// A steady row on the case's own mesh: what changed cases can be compared with.
bool is_comparable(const Chain& chain, const Case& the_case, const Outcome& outcome) {
  return outcome.status == SolveStatus::converged &&
         outcome.cells == make_mesh(*chain.section, the_case.resolution).n_cells();
}

/// Conditions of a panel state and orientation that are not to be had from results.
std::vector<double> missing_powers(const Case& the_case, const LeverPowers& powers,
                                   const Chain& chain, const std::vector<Outcome>& known) {
  bool has_own = false;
  bool has_other = false;
  for (const Outcome& outcome : known) {
    if (placing_of(outcome) != Placing{chain.panel->name, chain.orientation->name}) {
      continue;
    }
    const bool is_own = outcome.power_w == powers.own;
    has_own = has_own || (is_own && is_comparable(chain, the_case, outcome));
    has_other = has_other || (!is_own && is_listed(outcome) && is_solved(outcome.status));
  }
  std::vector<double> missing;
  if (!has_other) {
    missing.push_back(powers.lower);
  }
  if (!has_own) {
    missing.push_back(powers.own);
  }
  return missing;
}

/// The same of all that is asked for, and of the other panel states and finishes in the same
/// orientations.
std::vector<std::string> missing_conditions(const Case& the_case, const LeverPowers& powers,
                                            const std::vector<Placing>& chosen,
                                            const std::vector<Outcome>& known) {
  std::vector<std::string> ids;
  for (const Chain& chain : make_chains(the_case, {}, false)) {
    const std::string& orientation = chain.orientation->name;
    if (std::ranges::find(chosen, orientation, &Placing::orientation) == chosen.end()) {
      continue;
    }
    for (const double power : missing_powers(the_case, powers, chain, known)) {
      ids.push_back(condition_id(chain.panel->name, orientation, power));
    }
  }
  return ids;
}

/// What is solved into one directory.
struct LeverTask {
  std::string name;
  const Case* the_case = nullptr;
  RunOptions options;
  std::vector<Outcome> outcomes{};
};

LeverTask make_lever_task(const std::string& name, const Case& the_case,
                          std::vector<std::string> ids, const fs::path& directory,
                          const LeverOptions& options) {
  LeverTask task{.name = name, .the_case = &the_case, .options = {}};
  task.options.directory = directory / name;
  task.options.jobs = options.jobs;
  task.options.only = std::move(ids);
  task.options.only_is_whole = true;
  task.options.resume = true;
  task.options.examine_stability = false;
  task.options.stop = options.stop;
  return task;
}

void run_lever_task(LeverTask& task, std::mutex& mutex,
                    const std::function<void(const std::string&)>& tell) {
  int done = 0;
  const auto watch = [&](const Progress& progress) {
    if (progress.done != std::exchange(done, progress.done) && done > 0 && tell) {
      const std::lock_guard lock(mutex);
      tell(fmt::format("{}: {} done", task.name, progress.condition));
    }
  };
  CaseResults results = run_case(*task.the_case, task.options, watch);
  task.outcomes = std::move(results.outcomes);
  const std::lock_guard lock(mutex);
  for (const std::string& remark : results.remarks) {
    if (tell) {
      tell(remark);
    }
  }
}

/// Every change on threads, each from the case as it is where the meshes are the same.
void run_lever_tasks(std::vector<LeverTask>& tasks, int jobs,
                     const std::function<void(const std::string&)>& tell) {
  const int n_tasks = static_cast<int>(tasks.size());
  const int n_threads = threads_for(jobs, n_tasks);
  for (LeverTask& task : tasks) {
    task.options.jobs = n_threads > 1 ? 1 : jobs;
  }
  std::mutex mutex;
  for_each_in_parallel(n_tasks, n_threads, [&](int k, const std::atomic<bool>&) {
    run_lever_task(tasks[index(k)], mutex, tell);
  });
}

void write_levers(const fs::path& directory, const Case& the_case, const LeverReport& report) {
  fs::create_directories(directory);
  write_text(directory / "levers.csv", lever_csv(report));
  write_stored_json(directory / "levers.json", lever_json(report), crc32_of_case(the_case));
  write_text(directory / "levers.svg", lever_chart(report));
}

} // namespace

std::optional<LeverReport> find_levers(const Case& original, const LeverOptions& options,
                                       const std::function<void(const std::string&)>& tell) {
  check_base(original);
  LeverPowers powers;
  powers.own = choice_power(original, options.power_w);
  powers.lower = lower_power(original, powers.own);
  const Case the_case = with_power(with_power(original, powers.own), powers.lower);
  const std::vector<Placing> chosen = chosen_placings(original, options);
  const std::optional<FinishedResults> from = read_finished(original, options.from);
  const LeverChanges found = lever_changes(the_case, chosen);
  const auto stopped = [&] { return options.stop != nullptr && *options.stop; };

  const fs::path solved = options.directory / "solved" / fmt::format("{:g}w", powers.own);
  std::vector<Neighbour> starts;
  if (from) {
    starts.push_back({&from->the_case, from->directory});
  }
  AsItIs as_it_is;
  as_it_is.known = from ? from->outcomes : std::vector<Outcome>{};
  const std::vector<std::string> missing =
      missing_conditions(the_case, powers, chosen, as_it_is.known);
  if (!missing.empty()) {
    LeverTask own = make_lever_task("as-it-is", the_case, missing, solved, options);
    own.options.neighbours = starts;
    std::mutex mutex;
    run_lever_task(own, mutex, tell);
    as_it_is.solved = std::move(own.outcomes);
    starts.insert(starts.begin(), {&the_case, own.options.directory});
  }
  if (stopped()) {
    return std::nullopt;
  }

  std::vector<LeverTask> tasks;
  for (const LeverChange& change : found.changes) {
    std::vector<std::string> ids;
    for (const Placing& placing : change.placings) {
      ids.push_back(condition_id(placing.panel, placing.orientation, powers.own));
    }
    tasks.push_back(make_lever_task(change.name, change.the_case, ids, solved, options));
    tasks.back().options.neighbours = starts;
  }
  run_lever_tasks(tasks, options.jobs, tell);
  if (stopped()) {
    return std::nullopt;
  }
  std::vector<SolvedChange> changes;
  for (std::size_t k = 0; k < tasks.size(); ++k) {
    changes.push_back({&found.changes[k], std::move(tasks[k].outcomes)});
  }
  LeverReport report = lever_report(the_case, powers, chosen, as_it_is, changes, found.absent);
  write_levers(options.directory, original, report);
  return report;
}

} // namespace tiltfin
