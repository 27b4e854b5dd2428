#include "cases/study/variants.hpp"

#include "cases/file/stored.hpp"
#include "cases/input/whole_file.hpp"
#include "cases/run/parallel.hpp"
#include "mesh/index.hpp"
#include "post/reports/summary.hpp"
#include "post/text/text_file.hpp"

#include <fmt/format.h>

#include <mutex>
#include <utility>

namespace tiltfin {
namespace {

namespace fs = std::filesystem;

constexpr const char* study_copy = "study.toml";
constexpr const char* base_copy = "base.toml";
constexpr int beside_each_other = 1000;

void make_directory(const fs::path& directory) {
  std::error_code error;
  fs::create_directories(directory, error);
  if (error) {
    throw WriteError(
        fmt::format("cannot make the directory {}: {}", directory.string(), error.message()));
  }
}

fs::path place_of_variant(const fs::path& directory, const char* kind, int number) {
  return directory / kind / fmt::format("{:03}", number / beside_each_other) /
         fmt::format("{:06}", number);
}

bool is_same_study(const Study& study, const fs::path& directory) {
  const auto text_at = [&](const char* name) {
    return read_whole_file(directory / name, "the study of the results beside it");
  };
  return text_at(study_copy) == study.text && text_at(base_copy) == study.base.text;
}

CaseResults solve_variant(const Study& study, int number, const StudyOptions& options) {
  const Case the_case = variant_of(study, number);
  RunOptions run;
  run.jobs = 1;
  run.resume = options.keep_files;
  run.examine_stability = options.work.examine_stability;
  run.adds_powers = options.work.adds_powers;
  run.stop = options.stop;
  if (options.keep_files) {
    run.directory = place_of_variant(options.directory, "solved", number);
    make_directory(run.directory.parent_path());
  }
  return run_case(the_case, run, {});
}

/// What is there as it was written; what is not is named and missing.
bool is_solved_variant(const fs::path& directory, const PlannedVariant& planned,
                       const std::function<void(const std::string&)>& tell) {
  try {
    return solved_variant(directory, planned).has_value();
  } catch (const StoredInputError& error) {
    tell(fmt::format("{}: solved again", error.found));
    return false;
  }
}

} // namespace

bool is_study(const fs::path& directory) {
  return fs::exists(directory / study_copy);
}

void claim_for_study(const fs::path& directory, const Study& study) {
  const bool has_study = is_study(directory);
  if (has_study && !is_same_study(study, directory)) {
    throw InputError(fmt::format("{}: holds another study (its {} or {} differs from {} and {}); "
                                 "choose another directory or remove this one",
                                 directory.string(), study_copy, base_copy, study.file,
                                 study.base.file));
  }
  if (!has_study && fs::exists(directory / "case.toml")) {
    throw InputError(fmt::format("{}: holds results of a case, allowed a directory of its own",
                                 directory.string()));
  }
  make_directory(directory);
  if (!has_study) {
    write_text(directory / base_copy, study.base.text);
    write_text(directory / study_copy, study.text); // last: now the directory is the study's
  }
}

Study study_in(const fs::path& directory) {
  if (!is_study(directory)) {
    throw InputError(fmt::format("{}: found no {} in it, allowed a directory that `tiltfin study` "
                                 "has written",
                                 directory.string(), study_copy));
  }
  return read_study(directory / study_copy, directory / base_copy);
}

fs::path variant_file(const fs::path& directory, int number) {
  return place_of_variant(directory, "variants", number) += ".json";
}

std::optional<CaseResults> solved_variant(const fs::path& directory,
                                          const PlannedVariant& planned) {
  const fs::path path = variant_file(directory, planned.number);
  if (!fs::exists(path)) {
    return std::nullopt;
  }
  const std::string text = read_stored_json(path, planned.case_crc32, "a variant of the study");
  SolvedResults solved = read_solved(text);
  CaseResults results{std::move(solved.outcomes), {}, std::move(solved.context), {}};
  results.trends = make_trends(results.outcomes, results.context);
  return results;
}

bool solve_share(const Study& study, const StudyPlan& plan, const StudyOptions& options,
                 const std::function<void(const std::string&)>& tell) {
  const std::vector<int> numbers = variants_in(plan, options.share);
  std::mutex one;
  int n_done = 0;
  const auto say = [&](const std::string& line) {
    const std::lock_guard lock(one);
    tell(line);
  };
  const int n = static_cast<int>(numbers.size());
  for_each_in_parallel(
      n, threads_for(options.jobs, n), [&](int k, const std::atomic<bool>& failed) {
        const int number = numbers[index(k)];
        const PlannedVariant& planned = plan.variants[index(number)];
        const auto stopped = [&] { return failed || (options.stop != nullptr && *options.stop); };
        if (stopped()) {
          return;
        }
        const bool is_kept = is_solved_variant(options.directory, planned, say);
        if (!is_kept) {
          const CaseResults results = solve_variant(study, number, options);
          if (stopped()) {
            return; // what it has is not all
          }
          const fs::path path = variant_file(options.directory, number);
          make_directory(path.parent_path());
          write_stored_json(path, summary_json(results.outcomes, results.trends, results.context),
                            planned.case_crc32);
        }
        const std::lock_guard lock(one);
        tell(fmt::format("{}/{} variant {:06} {}", ++n_done, n, number, is_kept ? "kept" : "done"));
      });
  return options.stop == nullptr || !*options.stop;
}

int take_variants(const fs::path& directory, const Study& study, const StudyPlan& plan,
                  const std::vector<fs::path>& others) {
  int n_taken = 0;
  for (const fs::path& other : others) {
    if (!fs::exists(other / study_copy) || !is_same_study(study, other)) {
      throw InputError(fmt::format(
          "{}: found {}, allowed a directory of the study of {}", other.string(),
          fs::exists(other / study_copy) ? "another study" : "no study", directory.string()));
    }
    for (const PlannedVariant& planned : plan.variants) {
      const fs::path path = variant_file(directory, planned.number);
      if (!planned.refusal.empty() || fs::exists(path) || !solved_variant(other, planned)) {
        continue;
      }
      make_directory(path.parent_path());
      write_text(path, read_whole_file(variant_file(other, planned.number), "a variant"));
      ++n_taken;
    }
  }
  return n_taken;
}

} // namespace tiltfin
