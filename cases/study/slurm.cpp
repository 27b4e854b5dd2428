#include "cases/study/slurm.hpp"

#include "cases/check/cost.hpp"
#include "mesh/index.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace tiltfin {
namespace {

/// Flows that sway cost more than is forecast (cases/check/cost.hpp); a job that is cut off loses
/// the variants it is at, no others.
constexpr double time_factor = 4.0;
constexpr double memory_factor = 1.5;

/// A word of a shell.
std::string quoted(const std::string& text) {
  std::string word = "'";
  for (const char c : text) {
    word += c == '\'' ? std::string("'\\''") : std::string(1, c);
  }
  return word + "'";
}

/// The longest share: the whole of it and, on several processors, its dearest variant.
double longest_seconds(const StudyPlan& plan, const SlurmRequest& request) {
  double longest = 0.0;
  for (int k = 1; k <= request.n_shares; ++k) {
    const Share share{k, request.n_shares};
    double dearest = 0.0;
    for (const int number : variants_in(plan, share)) {
      dearest = std::max(dearest, plan.variants[index(number)].seconds);
    }
    longest = std::max(longest, std::max(dearest, seconds_of(plan, share) / request.jobs));
  }
  return longest;
}

double memory_mib(const Study& study, const StudyPlan& plan, int jobs) {
  const auto dearest = std::ranges::max_element(plan.variants, {}, &PlannedVariant::seconds);
  const Cost cost = expected_cost(variant_of(study, dearest->number), 1);
  constexpr double mib_per_gib = 1024.0;
  return memory_factor * mib_per_gib * cost.memory_gib * jobs;
}

} // namespace

std::string slurm_script(const Study& study, const StudyPlan& plan, const SlurmRequest& request) {
  const int minutes =
      static_cast<int>(std::ceil(time_factor * longest_seconds(plan, request) / 60.0)) + 5;
  const std::string options =
      fmt::format("{}{}{}", request.work.examine_stability ? "" : " --skip-stability",
                  request.work.adds_powers ? "" : " --listed-powers-only",
                  request.keep_files ? " --keep-files" : "");
  return fmt::format(
      R"(#!/bin/sh
# {title}: {variants} variants in {n} shares on Slurm. Run it where sbatch is and the directories
# are seen by all nodes; it submits and ends. Time and memory are those of the forecast with a margin;
# shares that are cut off go on where they were, once more by themselves, then by running this again.
set -eu
program={program}
study={study}
directory={directory}
mkdir -p "$directory/log"

share() {{ # options of sbatch
  sbatch --parsable --job-name=tiltfin-study --array=1-{n} --ntasks=1 --cpus-per-task={jobs} \
    --time={minutes} --mem={memory:.0f}M --output="$directory/log/%A_%a.txt" "$@" <<END
#!/bin/sh
exec "$program" study "$study" -o "$directory" --share "\$SLURM_ARRAY_TASK_ID/{n}" --jobs {jobs}{options}
END
}}

first=$(share)
again=$(share --dependency="afterany:$first")
sbatch --parsable --job-name=tiltfin-merge --ntasks=1 --time=60 --mem={memory:.0f}M \
  --dependency="afterany:$again" --output="$directory/log/merge.txt" <<END
#!/bin/sh
exec "$program" merge "$directory"
END
)",
      fmt::arg("title", study.title), fmt::arg("variants", plan.variants.size()),
      fmt::arg("n", request.n_shares), fmt::arg("program", quoted(request.program)),
      fmt::arg("study", quoted(request.study)), fmt::arg("directory", quoted(request.directory)),
      fmt::arg("jobs", request.jobs), fmt::arg("minutes", minutes),
      fmt::arg("memory", std::ceil(memory_mib(study, plan, request.jobs))),
      fmt::arg("options", options));
}

} // namespace tiltfin
