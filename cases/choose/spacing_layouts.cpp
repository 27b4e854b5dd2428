#include "cases/choose/spacing_layouts.hpp"

#include "cases/run/parallel.hpp"
#include "mesh/index.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <mutex>

namespace tiltfin {
namespace {

struct Task {
  LaidOut* layout = nullptr;
  RunOptions options;
  std::vector<Outcome> outcomes;
};

/// Layouts with results that `array` may start from, nearest gap first.
std::vector<Neighbour> neighbours_of(const FinArray& array, const Layouts& layouts,
                                     const std::filesystem::path& directory) {
  std::vector<std::pair<double, const LaidOut*>> near;
  for (const auto& [name, other] : layouts) {
    const bool is_like = other.array.kind == FinKind::along && other.array.height == array.height;
    if (is_like && !other.outcomes.empty()) {
      near.emplace_back(std::abs(std::log(other.array.gap / array.gap)), &other);
    }
  }
  std::ranges::stable_sort(near, {}, [](const auto& pair) { return pair.first; });
  std::vector<Neighbour> neighbours;
  neighbours.reserve(near.size());
  for (const auto& [distance, other] : near) {
    neighbours.push_back({&other->the_case, directory / layout_name(other->array), {}});
    for (const auto& [id, outcome] : other->outcomes) { // not what is being solved beside it
      neighbours.back().ids.push_back(id);
    }
  }
  return neighbours;
}

std::vector<Task> make_tasks(Layouts& layouts, const Wanted& wanted, const LayoutRun& run) {
  std::vector<Task> tasks;
  for (const auto& [name, ids] : wanted) {
    LaidOut& layout = layouts.at(name);
    Task task;
    task.layout = &layout;
    task.options.directory = run.directory / name;
    task.options.resume = true;
    task.options.only_is_whole = true;
    task.options.examine_stability = run.examine_stability;
    task.options.keep_states = !run.examine_stability; // for pictures in the same colours
    task.options.stop = run.stop;
    for (const std::string& id : ids) {
      if (layout.outcomes.count(id) == 0) {
        task.options.only.push_back(id);
      }
    }
    if (task.options.only.empty()) {
      continue;
    }
    if (!run.start_directory.empty()) {
      task.options.neighbours = {{&layout.the_case, run.start_directory / name, {}}};
    } else if (layout.array.kind == FinKind::along) {
      task.options.neighbours = neighbours_of(layout.array, layouts, run.directory);
    }
    tasks.push_back(std::move(task));
  }
  return tasks;
}

void run_task(Task& task, const LayoutRun& run, std::mutex& mutex) {
  int done = 0;
  const auto watch = [&](const Progress& progress) {
    if (progress.done != std::exchange(done, progress.done) && done > 0 && run.tell) {
      const std::lock_guard lock(mutex);
      run.tell(fmt::format("{}: {} {}", layout_name(task.layout->array), progress.condition,
                           progress.examines ? "examined" : "done"));
    }
  };
  CaseResults results = run_case(task.layout->the_case, task.options, watch);
  task.outcomes = std::move(results.outcomes);
  const std::lock_guard lock(mutex);
  for (const std::string& remark : results.remarks) {
    if (run.tell) {
      run.tell(remark);
    }
  }
}

} // namespace

bool solve_layouts(Layouts& layouts, const Wanted& wanted, const LayoutRun& run) {
  std::vector<Task> tasks = make_tasks(layouts, wanted, run);
  const int n_tasks = static_cast<int>(tasks.size());
  const int n_threads = threads_for(run.jobs, n_tasks);
  for (Task& task : tasks) {
    task.options.jobs = n_threads > 1 ? 1 : run.jobs;
  }
  std::mutex mutex;
  for_each_in_parallel(n_tasks, n_threads, [&](int k, const std::atomic<bool>&) {
    run_task(tasks[index(k)], run, mutex);
  });
  for (Task& task : tasks) {
    for (Outcome& outcome : task.outcomes) {
      const std::string id = condition_id(outcome.panel, outcome.orientation, outcome.power_w);
      task.layout->outcomes.insert_or_assign(id, std::move(outcome));
    }
  }
  return run.stop == nullptr || !*run.stop;
}

} // namespace tiltfin
