#include "cases/run/tilts.hpp"

#include "cases/input/whole_file.hpp"
#include "cases/run/parallel.hpp"
#include "cases/run/results.hpp"
#include "cases/run/run.hpp"
#include "cases/run/tilt_sweep.hpp"
#include "mesh/index.hpp"
#include "post/reports/tilt_facts.hpp"
#include "post/reports/tilt_report.hpp"
#include "post/text/text_file.hpp"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <limits>
#include <system_error>

namespace tiltfin {
namespace {

namespace fs = std::filesystem;

std::string angles_text(const Tilts& tilts) {
  return fmt::format("{}{}\n", fmt::join(tilts.angles_deg, " "),
                     tilts.is_closed ? " and round" : "");
}

fs::path angles_file(const fs::path& directory) {
  return directory / "tilts" / "angles.txt";
}

bool is_chosen_sweep(const PanelState& panel, double power_w, const Tilts& tilts,
                     const std::vector<std::string>& only) {
  return only.empty() || std::ranges::any_of(tilts.angles_deg, [&](double angle) {
           const std::string id = condition_id(panel.name, turned_to(angle).name, power_w);
           return std::ranges::any_of(
               only, [&](const std::string& text) { return id.find(text) != std::string::npos; });
         });
}

/// Makes tilts/ this sweep's own.
void claim_sweep(const fs::path& directory, const Tilts& tilts, bool resume) {
  std::error_code error;
  if (!resume) {
    fs::remove_all(directory / "tilts", error);
  }
  fs::create_directories(directory / "tilts", error);
  if (error) {
    throw WriteError(fmt::format("cannot make the directory {}: {}", (directory / "tilts").string(),
                                 error.message()));
  }
  write_text(angles_file(directory), angles_text(tilts));
}

TiltReport gather_report(const Case& the_case, const Tilts& tilts,
                         const std::vector<TiltSweep>& sweeps) {
  TiltReport report;
  report.context = report_context(the_case);
  report.is_closed = tilts.is_closed;
  for (const TiltSweep& sweep : sweeps) {
    std::ranges::copy(sweep.points(), std::back_inserter(report.points));
  }
  add_limits(report);
  return report;
}

void write_tilts(const fs::path& directory, const TiltReport& report) {
  write_text(directory / "tilts.csv", tilts_csv(report));
  for (const std::string& panel : panels_of(report)) {
    const std::string name = condition_id(panel, "tilts", 0.0);
    const std::string safe = name.substr(0, name.rfind("_tilts_"));
    write_text(directory / "pictures" / ("tilts-" + safe + ".svg"), tilt_chart(report, panel));
  }
}

/// One more angle of a panel state for a sweep of it.
struct AddedAngle {
  TiltSweep* sweep = nullptr;
  std::vector<double> angles;
};

std::vector<AddedAngle> angles_to_add(const TiltReport& report, std::vector<TiltSweep>& sweeps) {
  std::vector<AddedAngle> added;
  for (TiltSweep& sweep : sweeps) {
    std::vector<double> angles = wanted_angles(report, sweep.panel().name);
    if (!angles.empty()) {
      added.push_back({&sweep, std::move(angles)});
    }
  }
  return added;
}

/// Until nothing more is wanted; false when it was stopped.
bool add_angles(const Case& the_case, const Tilts& tilts, std::vector<TiltSweep>& sweeps,
                int n_threads, TiltReport& report) {
  constexpr int most_rounds = 12; // a best angle that moves on by five degrees each time
  for (int round = 0; round < most_rounds; ++round) {
    const std::vector<AddedAngle> work = angles_to_add(report, sweeps);
    if (work.empty()) {
      return true;
    }
    std::atomic<bool> stopped = false;
    for_each_in_parallel(static_cast<int>(work.size()), n_threads,
                         [&](int k, const std::atomic<bool>& failed) {
                           const AddedAngle& added = work[index(k)];
                           for (const double angle : added.angles) {
                             if (failed || !added.sweep->add(angle)) {
                               stopped = true;
                               return;
                             }
                           }
                         });
    if (stopped) {
      return false;
    }
    report = gather_report(the_case, tilts, sweeps);
  }
  return true;
}

} // namespace

bool chooses_tilts(const Case& the_case, const Tilts& tilts, const std::vector<std::string>& only) {
  return std::ranges::any_of(the_case.panels, [&](const PanelState& panel) {
    return std::ranges::any_of(the_case.powers, [&](double power_w) {
      return is_chosen_sweep(panel, power_w, tilts, only);
    });
  });
}

void check_tilts(const Case& the_case, const Tilts& tilts, const RunOptions& options) {
  check_surfaces_turn(the_case.tree, tilts);
  check_tilts_in_section(the_case.panels.front().sections.front(), tilts);
  for (const PanelState& panel : the_case.panels) {
    if (panel.sections.front().base < 0) {
      throw InputError(fmt::format("{}: found a case without a base ({}, panel {}), allowed cases "
                                   "with one: angles are compared by the rise of the base",
                                   tilts.place, the_case.file, panel.name));
    }
  }
  const fs::path file = angles_file(options.directory);
  if (options.resume && !options.directory.empty() && fs::exists(file)) {
    const std::string known = read_whole_file(file, "the angles of the sweep beside it");
    if (known != angles_text(tilts)) {
      throw InputError(fmt::format(
          "{}: found other angles than the sweep in {} has ({}), allowed the same with --resume; "
          "choose another directory, or leave out --resume to begin anew",
          tilts.place, options.directory.string(), known.substr(0, known.find('\n'))));
    }
  }
}

std::optional<TiltReport> run_tilts(const Case& the_case, const Tilts& tilts, RunOptions options,
                                    const std::function<void(const Progress&)>& progress) {
  check_tilts(the_case, tilts, options);
  if (!chooses_tilts(the_case, tilts, options.only)) {
    throw InputError(fmt::format("--only {}: no angle of a sweep has this in its name",
                                 fmt::join(options.only, " ")));
  }
  options.examine_stability = false;
  options.accuracy.relative = 0.0;
  if (!options.directory.empty()) {
    claim_directory(options.directory, the_case, options.resume);
    claim_sweep(options.directory, tilts, options.resume);
  }
  std::vector<std::pair<const PanelState*, double>> chosen;
  for (const PanelState& panel : the_case.panels) {
    for (const double power_w : the_case.powers) {
      if (is_chosen_sweep(panel, power_w, tilts, options.only)) {
        chosen.emplace_back(&panel, power_w);
      }
    }
  }
  const std::size_t n_steps = (2 * tilts.angles_deg.size() + 1) * chosen.size();
  Monitor monitor(static_cast<int>(n_steps), false, progress);
  const RunContext run{the_case, options, monitor};
  std::vector<TiltSweep> sweeps;
  sweeps.reserve(chosen.size());
  for (const auto& [panel, power_w] : chosen) {
    sweeps.emplace_back(run, *panel, power_w, tilts);
  }
  const int n_threads = threads_for(options.jobs, std::numeric_limits<int>::max());
  std::atomic<bool> stopped = false;
  for_each_in_parallel(static_cast<int>(sweeps.size()), n_threads,
                       [&](int k, const std::atomic<bool>& failed) {
                         if (failed || !sweeps[index(k)].turn()) {
                           stopped = true;
                         }
                       });
  if (stopped) {
    return std::nullopt;
  }
  TiltReport report = gather_report(the_case, tilts, sweeps);
  if (!add_angles(the_case, tilts, sweeps, n_threads, report)) {
    return std::nullopt;
  }
  if (!options.directory.empty()) {
    write_tilts(options.directory, report);
  }
  return report;
}

} // namespace tiltfin
