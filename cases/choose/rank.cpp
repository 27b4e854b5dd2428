#include "cases/choose/rank.hpp"

#include "cases/choose/weights.hpp"
#include "cases/file/case_difference.hpp"
#include "cases/file/conditions.hpp"
#include "cases/file/core_limit.hpp"
#include "cases/file/shown.hpp"
#include "cases/file/stored.hpp"
#include "cases/input/toml_reader.hpp"
#include "cases/run/limit_search.hpp"
#include "cases/run/results.hpp"
#include "cases/run/run.hpp"
#include "post/fits/estimate.hpp"
#include "post/fits/groups.hpp"
#include "post/text/text_file.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <map>

namespace tiltfin {
namespace {

namespace fs = std::filesystem;

/// Notes that a person reads, of many that say the same of other coolers.
constexpr std::size_t most_told = 6;

/// "results/demo/" as "demo".
std::string last_part(const fs::path& path) {
  return path.has_filename() ? path.filename().string() : path.parent_path().filename().string();
}

/// Every condition of a directory of results; refused when one is missing.
std::vector<Outcome> finished_outcomes(const std::string& directory, const Case& the_case) {
  std::vector<Outcome> outcomes;
  std::vector<std::string> missing;
  int total = 0;
  for (const PanelState& panel : the_case.panels) {
    for (const Orientation& orientation : the_case.orientations) {
      for (const double power : the_case.powers) {
        const std::string id = condition_id(panel.name, orientation.name, power);
        std::optional<Outcome> outcome = finished_outcome(directory, the_case, id);
        ++total;
        if (outcome) {
          outcomes.push_back(std::move(*outcome));
        } else {
          missing.push_back(id);
        }
      }
    }
  }
  if (!missing.empty()) {
    throw InputError(fmt::format("{0}: found {1} of {2} conditions without a result (the first: "
                                 "{3}), allowed none; `tiltfin solve {0}/case.toml -o {0} "
                                 "--resume` solves them",
                                 directory, missing.size(), total, missing.front()));
  }
  return with_added_on_disk(the_case, directory, std::move(outcomes));
}

Competitor read_competitor(const std::string& path) {
  Competitor competitor;
  if (fs::is_directory(path)) {
    const fs::path copy = fs::path(path) / "case.toml";
    if (!fs::exists(copy)) {
      throw InputError(fmt::format("{}: found no case.toml in it, allowed a case file or a "
                                   "directory that `tiltfin solve` has written",
                                   path));
    }
    competitor.the_case = read_case(copy.string());
    competitor.name = last_part(path);
    competitor.is_finished = true;
    competitor.results =
        results_of(competitor.the_case, finished_outcomes(path, competitor.the_case));
  } else {
    competitor.the_case = read_case(path);
    competitor.name = fs::path(path).stem().string();
  }
  return competitor;
}

void check_names(const std::vector<Competitor>& competitors) {
  for (std::size_t k = 1; k < competitors.size(); ++k) {
    const auto end = competitors.begin() + static_cast<std::ptrdiff_t>(k);
    const auto twin = std::find_if(competitors.begin(), end, [&](const Competitor& other) {
      return other.name == competitors[k].name;
    });
    if (twin != end) {
      throw InputError(fmt::format("{}: found the name '{}' a second time (after {}), allowed a "
                                   "different name for every file and directory",
                                   competitors[k].the_case.file, twin->name, twin->the_case.file));
    }
  }
}

void check_conditions(const std::vector<Competitor>& competitors) {
  const Case& first = competitors.front().the_case;
  for (const Competitor& other : competitors) {
    const std::optional<KeyDifference> difference = differing_condition(first, other.the_case);
    if (difference) {
      throw InputError(fmt::format(
          "{}: key '{}': found {}, allowed {} as in {}: only coolers in the same conditions can "
          "be ranked",
          other.the_case.file, difference->key, difference->second, difference->first, first.file));
    }
    for (std::size_t k = 0; k < other.the_case.orientations.size(); ++k) {
      check_in_section(other.the_case.panels.front().section_in(k), other.the_case.orientations[k],
                       other.the_case.orientations_place);
    }
  }
}

/// The first of them, and how many more there are.
std::vector<std::string> told_of(std::vector<std::string> notes, const std::string& more) {
  if (notes.size() > most_told) {
    const std::size_t rest = notes.size() - most_told;
    notes.resize(most_told);
    notes.push_back(fmt::format("{} {}", rest, more));
  }
  return notes;
}

/// "B (case.width_mm 60 against 70 of A)".
std::vector<std::string> difference_notes(const std::vector<Competitor>& competitors) {
  std::vector<std::string> notes;
  const Competitor& first = competitors.front();
  for (const char* table : {"case", "board", "part", "mesh"}) {
    for (const Competitor& other : competitors) {
      std::vector<std::string> words;
      for (const KeyDifference& difference :
           differing_keys(first.the_case, other.the_case, table)) {
        words.push_back(
            fmt::format("{} {} against {}", difference.key, difference.second, difference.first));
      }
      if (!words.empty()) {
        notes.push_back(fmt::format("Not only the cooler differs: {} has {} of {}.", other.name,
                                    join(words), first.name));
      }
    }
  }
  return told_of(std::move(notes), "more such differences.");
}

/// Which powers the limits come from, where the coolers were not solved at the same.
std::vector<std::string> power_notes(const std::vector<Competitor>& competitors) {
  std::vector<std::string> words;
  bool is_one = true;
  for (const Competitor& competitor : competitors) {
    words.push_back(
        fmt::format("{} {} W", competitor.name, fmt::join(competitor.the_case.powers, " ")));
    is_one = is_one && competitor.the_case.powers == competitors.front().the_case.powers;
  }
  if (is_one) {
    return {};
  }
  return {fmt::format("Each cooler's limits come from its own powers: {}.",
                      join(told_of(std::move(words), "more")))};
}

/// Whom a note is of: their names, or of many how many.
std::string whose(std::vector<std::string> names, std::size_t n_coolers) {
  return names.size() > most_told && names.size() == n_coolers
             ? fmt::format("all {} coolers", n_coolers)
             : join(told_of(std::move(names), "more"));
}

std::vector<std::string> metal_notes(const std::vector<Competitor>& competitors) {
  std::map<std::string, std::vector<std::string>> names; // by what is to be said of them
  for (const Competitor& competitor : competitors) {
    const std::optional<Metal> metal = metal_of(competitor.the_case.cooler);
    if (!metal) {
      names["a drawn section has no mass here"].push_back(competitor.name);
      continue;
    }
    if (!metal->leaves_out.empty()) {
      names[metal->leaves_out + " are not in its mass"].push_back(competitor.name);
    }
    if (metal->density_is_default) {
      names[fmt::format("density of aluminium, {:g} kg/m3 (default; key density_kg_per_m3)",
                        metal->density)]
          .push_back(competitor.name);
    }
  }
  std::vector<std::string> notes;
  notes.reserve(names.size());
  for (auto& [note, of] : names) {
    notes.push_back(fmt::format("{}: {}.", whose(std::move(of), competitors.size()), note));
  }
  return notes;
}

/// Whose conditions were not examined, and that such a ranking is a quick look.
std::vector<std::string> stability_notes(const std::vector<Competitor>& competitors) {
  std::vector<std::string> skipped;
  bool any_examined = false; // a mean over time without a steady flow is neither
  for (const Competitor& competitor : competitors) {
    const std::vector<Outcome>& outcomes = competitor.results.outcomes;
    const auto n_listed = std::ranges::count_if(outcomes, is_listed);
    const auto n = std::ranges::count_if(outcomes, [](const Outcome& outcome) {
      return is_listed(outcome) && is_passed_over(outcome.stability.state);
    });
    any_examined = any_examined ||
                   std::ranges::any_of(competitor.results.outcomes, [](const Outcome& outcome) {
                     return is_examined(outcome.stability.state);
                   });
    if (n > 0) {
      skipped.push_back(fmt::format("{} ({} of {} conditions)", competitor.name, n, n_listed));
    }
  }
  if (skipped.empty()) {
    return {};
  }
  std::string note =
      fmt::format("Stability was not examined in {}: real air may leave these flows, "
                  "and the limits change.",
                  whose(std::move(skipped), competitors.size()));
  if (any_examined) {
    note += " Others were examined, so the comparison is not of like with like.";
  }
  return {note};
}

std::vector<RankColumn> columns_of(const Case& the_case, const std::vector<double>& weights) {
  std::vector<RankColumn> columns;
  for (const PanelState& panel : the_case.panels) {
    for (std::size_t k = 0; k < the_case.orientations.size(); ++k) {
      columns.push_back({panel.name, the_case.orientations[k].name,
                         weights[k] / static_cast<double>(the_case.panels.size())});
    }
  }
  return columns;
}

RankedCooler ranked(const Competitor& competitor, const std::vector<RankColumn>& columns) {
  RankedCooler cooler;
  cooler.name = competitor.name;
  cooler.title = competitor.the_case.title;
  const std::optional<Metal> metal = metal_of(competitor.the_case.cooler);
  cooler.mass_kg = metal ? metal->mass() : nan;
  cooler.volume_m3 = metal ? metal->volume : nan;
  cooler.density_kg_per_m3 = metal ? metal->density : nan;
  const std::vector<TrendRow>& trends = competitor.results.trends;
  for (const RankColumn& column : columns) {
    const auto row = std::ranges::find(trends, placing_of(column), placing_of<TrendRow>);
    cooler.limits.push_back(row == trends.end() ? SolvedLimit{} : row->limit);
  }
  return cooler;
}

/// Solves what is missing of a case file, of the conditions of these ids (empty: all); false when
/// the caller asked to stop.
bool solve_competitor(Competitor& competitor, const std::vector<std::string>& only,
                      const RankOptions& options,
                      const std::function<void(const std::string&)>& tell) {
  RunOptions run;
  run.directory = options.directory / competitor.name;
  run.jobs = options.jobs;
  run.resume = true;
  run.only = only;
  run.only_is_whole = true;
  run.examine_stability = !options.skip_stability;
  run.adds_powers = !options.listed_powers_only;
  run.stop = options.stop;
  int done = 0;
  competitor.results = run_case(competitor.the_case, run, [&](const Progress& progress) {
    if (progress.done != std::exchange(done, progress.done) && done > 0 && tell) {
      tell(fmt::format("{}: {}/{} {} {}", competitor.name, progress.done, progress.total,
                       progress.condition, progress.examines ? "examined" : "done"));
    }
  });
  for (const std::string& remark : competitor.results.remarks) {
    if (tell) {
      tell(fmt::format("{}: {}", competitor.name, remark));
    }
  }
  return options.stop == nullptr || !*options.stop;
}

/// Those of the case files and the finished ones, refused where they cannot be compared.
std::vector<Competitor> competitors_of(const RankOptions& options) {
  std::vector<Competitor> competitors;
  for (const std::string& path : options.cases) {
    competitors.push_back(read_competitor(path));
  }
  competitors.insert(competitors.end(), options.finished.begin(), options.finished.end());
  if (competitors.size() < 2) {
    throw InputError("rank: found one cooler, allowed two or more");
  }
  check_names(competitors);
  check_conditions(competitors);
  return competitors;
}

} // namespace

std::optional<RankReport> rank_coolers(const RankOptions& options,
                                       const std::function<void(const std::string&)>& tell) {
  std::vector<Competitor> competitors = competitors_of(options);
  const Case& first = competitors.front().the_case;
  const std::vector<double> weights = orientation_weights(options.weights, first.orientations);
  for (Competitor& competitor : competitors) {
    if (!competitor.is_finished && !solve_competitor(competitor, {}, options, tell)) {
      return std::nullopt;
    }
  }

  RankReport report;
  report.core = core_limit(first);
  report.weights_text = weights_text(weights, first.orientations) +
                        (first.panels.size() > 1 ? "; panel states alike" : "");
  report.columns = columns_of(first, weights);
  for (const Competitor& competitor : competitors) {
    report.coolers.push_back(ranked(competitor, report.columns));
  }
  sort_coolers(report);
  report.notes = stability_notes(competitors);
  for (const auto& notes :
       {told_of(doubts_of_limits(report), "more limits in doubt: rank.csv names them."),
        power_notes(competitors), difference_notes(competitors), metal_notes(competitors)}) {
    report.notes.insert(report.notes.end(), notes.begin(), notes.end());
  }
  fs::create_directories(options.directory);
  write_text(options.directory / "rank.csv", rank_csv(report));
  write_stored_json(options.directory / "rank.json", rank_json(report), ""); // of several cases
  write_text(options.directory / "rank.svg", rank_chart(report));
  keep_shown(options.directory, {"rank.csv", "rank.svg"});
  return report;
}

bool solve_part_for_rank(const RankOptions& options, const ChooseConditions& choose,
                         const std::function<void(const std::string&)>& tell) {
  std::vector<Competitor> competitors = competitors_of(options);
  std::erase_if(competitors, [](const Competitor& competitor) { return competitor.is_finished; });
  std::vector<Case> cases;
  cases.reserve(competitors.size());
  for (const Competitor& competitor : competitors) {
    cases.push_back(competitor.the_case);
  }
  const std::vector<std::vector<std::string>> chosen = choose(cases);
  for (std::size_t k = 0; k < competitors.size(); ++k) {
    if (!chosen[k].empty() && !solve_competitor(competitors[k], chosen[k], options, tell)) {
      return false;
    }
  }
  return true;
}

} // namespace tiltfin
