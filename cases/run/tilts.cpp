#include "cases/run/tilts.hpp"

#include "cases/file/shown.hpp"
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

/// A panel state at a power.
using SweepPlace = std::pair<const PanelState*, double>;

struct SweepPlaces {
  std::vector<SweepPlace> chosen;
  std::vector<SweepPlace> others; ///< left out by `only`
};

SweepPlaces sweep_places(const Case& the_case, const Tilts& tilts,
                         const std::vector<std::string>& only) {
  SweepPlaces places;
  for (const PanelState& panel : the_case.panels) {
    for (const double power_w : the_case.powers) {
      const bool is_chosen = is_chosen_sweep(panel, power_w, tilts, only);
      (is_chosen ? places.chosen : places.others).emplace_back(&panel, power_w);
    }
  }
  return places;
}

/// Whether a file in tilts/ is a step of this sweep: "panel_tilt-30_10w_from-rest.json".
bool is_step_of(const fs::path& file, const SweepPlace& place) {
  const std::string id = condition_id(place.first->name, "tilt-", place.second);
  const std::size_t angle = id.rfind("tilt-") + std::string("tilt-").size();
  const std::string name = file.filename().string();
  return name.starts_with(id.substr(0, angle)) &&
         name.find(id.substr(angle) + "_", angle) != std::string::npos;
}

/// Makes tilts/ this sweep's own; what `only` leaves out stays in it.
void claim_sweep(const fs::path& directory, const Tilts& tilts, bool resume,
                 const SweepPlaces& places) {
  std::error_code error;
  if (!resume && places.others.empty()) {
    fs::remove_all(directory / "tilts", error);
  } else if (!resume) {
    std::vector<fs::path> old;
    for (const std::string& name : names_in(directory / "tilts")) {
      const fs::path file = directory / "tilts" / name;
      if (std::ranges::any_of(places.chosen,
                              [&](const SweepPlace& place) { return is_step_of(file, place); })) {
        old.push_back(file);
      }
    }
    for (const fs::path& file : old) {
      fs::remove(file, error);
    }
  }
  fs::create_directories(directory / "tilts", error);
  if (error) {
    throw WriteError(fmt::format("cannot make the directory {}: {}", (directory / "tilts").string(),
                                 error.message()));
  }
  write_text(angles_file(directory), angles_text(tilts));
}

/// A sweep of the report: solved, or left out by `only` and taken from disk.
struct ReportedSweep {
  TiltSweep sweep;
  SweepPlace place;
  bool is_kept = false;    ///< solves nothing
  bool is_dropped = false; ///< kept, and not whole on disk
};

/// What sweeps that are left out work with: they read what is finished and solve nothing.
struct DiskOnly {
  std::atomic<bool> stop = true;
  RunOptions options;
  std::function<void(const Progress&)> tells_nobody;
  Monitor monitor{0, false, tells_nobody};
  Remarks remarks; ///< unsaid: nothing is solved again, and what is left out is named
};

TiltReport gather_report(const Case& the_case, const Tilts& tilts,
                         const std::vector<ReportedSweep>& sweeps) {
  TiltReport report;
  report.context = report_context(the_case);
  report.is_closed = tilts.is_closed;
  for (const ReportedSweep& reported : sweeps) {
    if (!reported.is_dropped) {
      std::ranges::copy(reported.sweep.points(), std::back_inserter(report.points));
    } else if (reported.is_kept) {
      report.left_out.push_back(
          fmt::format("panel {}, {:g} W", reported.place.first->name, reported.place.second));
    }
  }
  add_limits(report);
  return report;
}

void write_tilts(const fs::path& directory, const TiltReport& report) {
  write_text(directory / "tilts.csv", tilts_csv(report));
  std::vector<std::string> shown{"tilts.csv"};
  for (const std::string& panel : panels_of(report)) {
    const std::string name = condition_id(panel, "tilts", 0.0);
    const std::string safe = name.substr(0, name.rfind("_tilts_"));
    shown.push_back("pictures/tilts-" + safe + ".svg");
    write_text(directory / shown.back(), tilt_chart(report, panel));
  }
  keep_shown(directory, shown);
}

/// In the order of the case; those that are left out where there is a directory to read them from.
std::vector<ReportedSweep> sweeps_of(const RunContext& run, const RunContext& kept,
                                     const SweepPlaces& places, const Tilts& tilts) {
  std::vector<ReportedSweep> sweeps;
  for (const PanelState& panel : run.the_case.panels) {
    for (const double power_w : run.the_case.powers) {
      const SweepPlace place{&panel, power_w};
      const bool is_kept = std::ranges::find(places.chosen, place) == places.chosen.end();
      if (!is_kept || !run.options.directory.empty()) {
        sweeps.push_back({{is_kept ? kept : run, panel, power_w, tilts}, place, is_kept, false});
      }
    }
  }
  return sweeps;
}

/// One more angle of a panel state for a sweep of it.
struct AddedAngle {
  ReportedSweep* reported = nullptr;
  std::vector<double> angles;
};

std::vector<AddedAngle> angles_to_add(const TiltReport& report,
                                      std::vector<ReportedSweep>& sweeps) {
  std::vector<AddedAngle> added;
  for (ReportedSweep& reported : sweeps) {
    std::vector<double> angles;
    if (!reported.is_dropped) {
      angles = wanted_angles(report, reported.sweep.panel().name);
    }
    if (!angles.empty()) {
      added.push_back({&reported, std::move(angles)});
    }
  }
  return added;
}

/// Until nothing more is wanted; false when it was stopped.
bool add_angles(const Case& the_case, const Tilts& tilts, std::vector<ReportedSweep>& sweeps,
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
                           ReportedSweep& reported = *work[index(k)].reported;
                           for (const double angle : work[index(k)].angles) {
                             if (failed || !reported.sweep.add(angle)) {
                               reported.is_dropped = reported.is_kept;
                               stopped = stopped || !reported.is_kept;
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
  check_tilts_in_section(the_case.panels.front().section_at_angles(), tilts);
  for (const PanelState& panel : the_case.panels) {
    if (panel.sections.front().base < 0) {
      throw InputError(fmt::format("{}: found a case without a base ({}, panel {}), allowed cases "
                                   "with one: angles are compared by the rise of the base",
                                   tilts.place, the_case.file, panel.name));
    }
  }
  const fs::path file = angles_file(options.directory);
  if (fs::is_directory(file)) {
    refuse_directory(file);
  }
  const bool keeps_others = !sweep_places(the_case, tilts, options.only).others.empty();
  if ((options.resume || keeps_others) && !options.directory.empty() && fs::exists(file)) {
    const std::string known = read_whole_file(file, "the angles of the sweep beside it");
    if (known != angles_text(tilts)) {
      throw InputError(fmt::format(
          "{}: found other angles than the sweep in {} has ({}), allowed the same with --resume "
          "and --only; choose another directory, or leave them out to begin anew",
          tilts.place, options.directory.string(), known.substr(0, known.find('\n'))));
    }
  }
}

std::optional<TiltReport> run_tilts(const Case& the_case, const Tilts& tilts, RunOptions options,
                                    const std::function<void(const Progress&)>& progress,
                                    Remarks& remarks) {
  check_tilts(the_case, tilts, options);
  if (!chooses_tilts(the_case, tilts, options.only)) {
    throw InputError(fmt::format(
        "--only: found '{}', which is in no angle's name, allowed parts of "
        "names such as {}",
        fmt::join(options.only, "', '"),
        condition_id(the_case.panels.front().name, turned_to(tilts.angles_deg.front()).name,
                     the_case.powers.front())));
  }
  const SweepPlaces places = sweep_places(the_case, tilts, options.only);
  options.examine_stability = false;
  options.accuracy.relative = 0.0;
  if (!options.directory.empty()) {
    claim_directory(options.directory, the_case, options.resume);
    claim_sweep(options.directory, tilts, options.resume, places);
  }
  const std::size_t n_steps = (2 * tilts.angles_deg.size() + 1) * places.chosen.size();
  Monitor monitor(static_cast<int>(n_steps), false, progress);
  const RunContext run{the_case, options, monitor, remarks};
  DiskOnly disk;
  disk.options = options;
  disk.options.resume = true;
  disk.options.stop = &disk.stop;
  const RunContext kept{the_case, disk.options, disk.monitor, disk.remarks};
  std::vector<ReportedSweep> sweeps = sweeps_of(run, kept, places, tilts);
  const int n_threads = threads_for(options.jobs, std::numeric_limits<int>::max());
  std::atomic<bool> stopped = false;
  for_each_in_parallel(static_cast<int>(sweeps.size()), n_threads,
                       [&](int k, const std::atomic<bool>& failed) {
                         ReportedSweep& reported = sweeps[index(k)];
                         if (failed || !reported.sweep.turn()) {
                           reported.is_dropped = reported.is_kept;
                           stopped = stopped || !reported.is_kept;
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
    if (!fs::exists(options.directory / "tilts.csv")) {
      report.left_out.clear(); // nobody has seen them
    }
    write_tilts(options.directory, report);
  }
  return report;
}

} // namespace tiltfin
