#include "cases/choose/ends.hpp"

#include "cases/choose/finished_results.hpp"
#include "cases/choose/second_plane.hpp"
#include "cases/file/shown.hpp"
#include "cases/file/stored.hpp"
#include "cases/run/chains.hpp"
#include "cases/run/run.hpp"
#include "mesh/tensor_mesh.hpp"
#include "post/fits/groups.hpp"
#include "post/reports/remarks.hpp"
#include "post/text/text_file.hpp"
#include "post/views/section_drawing.hpp"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <iterator>
#include <utility>

namespace tiltfin {
namespace {

namespace fs = std::filesystem;

/// What is asked for of those lying flat.
std::vector<Placing> flat_placings(const Case& the_case, const std::vector<std::string>& only) {
  std::vector<Placing> placings;
  for (const Chain& chain : make_chains(the_case, only, false)) {
    if (any_chosen(chain) && lies_flat(*chain.orientation)) {
      placings.push_back({chain.panel->name, chain.orientation->name});
    }
  }
  if (placings.empty()) {
    throw InputError(
        fmt::format("--only: found no condition lying flat in {}, allowed texts in the "
                    "names of flat-up or flat-down ones",
                    fmt::join(only, ", ")));
  }
  return placings;
}

/// All conditions there: a limit takes all powers.
std::vector<std::string> ids_at(const Case& the_case, const std::vector<Placing>& placings) {
  std::vector<std::string> ids;
  for (const Chain& chain : make_chains(the_case, {}, false)) {
    const Placing placing{chain.panel->name, chain.orientation->name};
    if (std::ranges::find(placings, placing) != placings.end()) {
      for (const ChainCondition& condition : chain.conditions) {
        ids.push_back(condition.id);
      }
    }
  }
  return ids;
}

CaseResults solve_flat(const Case& the_case, const std::vector<Placing>& flat,
                       const std::string& folder, const EndsOptions& options,
                       const std::function<void(const std::string&)>& tell) {
  RunOptions run;
  run.directory = options.directory / folder;
  run.jobs = options.jobs;
  run.only = ids_at(the_case, flat);
  run.only_is_whole = true;
  run.resume = true;
  run.examine_stability = !options.skip_stability;
  run.adds_powers = true;
  run.stop = options.stop;
  int done = 0;
  CaseResults results = run_case(the_case, run, [&](const Progress& progress) {
    if (progress.done != std::exchange(done, progress.done) && done > 0 && tell) {
      tell(fmt::format("{}: {}/{} {} {}", folder, progress.done, progress.total, progress.condition,
                       progress.examines ? "examined" : "done"));
    }
  });
  for (const std::string& remark : results.remarks) {
    if (tell) {
      tell(fmt::format("{}: {}", folder, remark));
    }
  }
  return results;
}

/// Nothing where nothing was solved.
std::optional<PlaneResults> results_at(const CaseResults& results, const Placing& placing) {
  const auto row = std::ranges::find(results.trends, placing, placing_of<TrendRow>);
  if (row == results.trends.end()) {
    return std::nullopt;
  }
  PlaneResults plane{{}, *row};
  std::ranges::copy_if(results.outcomes, std::back_inserter(plane.outcomes),
                       [&](const Outcome& outcome) { return placing_of(outcome) == placing; });
  return plane;
}

/// Before anything is solved: what was given must hold what is asked for.
void check_from(const CaseResults& first, const std::vector<Placing>& flat,
                const std::string& from) {
  for (const Placing& placing : flat) {
    if (!results_at(first, placing)) {
      throw InputError(fmt::format("--from {}: found no results of panel {}, {}, allowed those of "
                                   "every panel state and orientation that is asked for (--only), "
                                   "or none (what is missing is solved)",
                                   from, placing.panel, placing.orientation));
    }
  }
}

std::vector<std::string> ends_notes(const Case& the_case, const SecondPlane& plane) {
  std::vector<std::string> notes{
      "At one rise of the base both planes' heats to the air are put together; radiation, the "
      "board and whatever else are those of the section as solved, once. No less: the larger heat "
      "to the air alone. No more: their sum, as if air through one pair of edges did not slow, and "
      "did not warm, that through the other. It does, so the sum is more than there can be where "
      "both share their air; that it is a bound is an argument, no proof."};
  if (std::holds_alternative<Stack>(the_case.cooler)) {
    notes.emplace_back("Likely: (a^p + b^p)^(1/p) with p from 2.5 (one thin disc, warm on both "
                       "faces) to 1.3 (six discs far apart), bodies whose flow is known in all "
                       "three dimensions (validation/bundle_ends). No cooler was measured.");
  } else {
    notes.emplace_back(
        "Of a [block] both planes let air through the fins' tips, which the sum counts twice. "
        "Facing up the section of fins along the board lies -18 to +42 % from two measured "
        "correlations (validation/fin_orientation): more than the ends bring, so that nothing here "
        "is a bound of that.");
  }
  notes.insert(notes.end(), plane.notes.begin(), plane.notes.end());
  const bool all_flat = std::ranges::all_of(the_case.orientations, lies_flat);
  if (!all_flat || !the_case.tilts.angles_deg.empty()) {
    notes.emplace_back("Orientations that do not lie flat are left out: gravity lies outside the "
                       "second plane, or across its gaps, where the ends bring little.");
  }
  return notes;
}

void write_ends(const fs::path& directory, const Case& the_case, const SecondPlane& plane,
                const EndsReport& report) {
  const Section& section = plane.the_case.panels.front().sections.front();
  const TensorMesh mesh = make_mesh(section, plane.the_case.resolution);
  fs::create_directories(directory);
  write_text(directory / "ends.csv", ends_csv(report));
  write_stored_json(directory / "ends.json", ends_json(report), crc32_of_case(the_case));
  write_text(directory / "second-plane.svg", section_svg(section, &mesh, plane.the_case.title));
  keep_shown(directory, {"ends.csv", "second-plane.svg"});
}

} // namespace

std::optional<EndsReport> find_ends(const Case& the_case, const EndsOptions& options,
                                    const std::function<void(const std::string&)>& tell) {
  const SecondPlane plane = second_plane(the_case);
  const std::vector<Placing> flat = flat_placings(the_case, options.only);
  const auto stopped = [&] { return options.stop != nullptr && *options.stop; };
  CaseResults first;
  if (const std::optional<FinishedResults> from = read_finished(the_case, options.from)) {
    first = results_of(the_case, from->outcomes);
    check_from(first, flat, options.from);
  } else {
    first = solve_flat(the_case, flat, "as-it-is", options, tell);
  }
  if (stopped()) {
    return std::nullopt;
  }
  const CaseResults second = solve_flat(plane.the_case, flat, "second-plane", options, tell);
  if (stopped()) {
    return std::nullopt;
  }

  EndsReport report;
  report.context = report_context(the_case);
  const bool has_likely = std::holds_alternative<Stack>(the_case.cooler);
  std::vector<Outcome> all;
  for (const Placing& placing : flat) {
    const std::optional<PlaneResults> own = results_at(first, placing);
    std::optional<PlaneResults> other = results_at(second, placing);
    if (!own || !other) {
      continue;
    }
    report.rows.push_back(ends_row(*own, *other, report.context.core, has_likely));
    all.insert(all.end(), own->outcomes.begin(), own->outcomes.end());
    for (Outcome& outcome : other->outcomes) {
      outcome.panel += " (second plane)";
      all.push_back(std::move(outcome));
    }
  }
  report.notes = ends_notes(the_case, plane);
  report.warnings = warning_list(all);
  write_ends(options.directory, the_case, plane, report);
  return report;
}

} // namespace tiltfin
