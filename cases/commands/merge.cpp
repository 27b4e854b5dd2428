// tiltfin merge: shares made one.
#include "cases/commands/command.hpp"
#include "cases/commands/common_options.hpp"
#include "cases/commands/telling.hpp"
#include "cases/study/case_shares.hpp"
#include "cases/study/variants.hpp"

#include <fmt/format.h>

#include <filesystem>
#include <memory>

namespace tiltfin {
namespace {

namespace fs = std::filesystem;

struct MergeArguments {
  std::vector<std::string> directories;
  std::string into;
};

/// Of directories that `solve --share` has written.
int merge_results(const std::vector<fs::path>& directories, const fs::path& into) {
  const MergedCase merged = merge_case(into, directories);
  print_line(fmt::format("{}: {} conditions taken over", into.string(), merged.n_taken));
  const CaseResults& results = merged.results;
  print_text(readable_table(results.outcomes, results.trends, results.context));
  for (const std::string& sentence : results.undrawn) {
    print_line(sentence);
  }
  if (!merged.missing.empty()) {
    print_line(
        fmt::format("{}: found {} conditions without a result (the first: {}), allowed none: "
                    "tiltfin solve {}/case.toml -o {} --resume solves them",
                    into.string(), merged.missing.size(), merged.missing.front(), into.string(),
                    into.string()));
    return not_converged;
  }
  tell_page(into);
  return code_of(results);
}

/// Of directories that shares of `rank` or `spacing` have written.
int merge_choices(const std::vector<fs::path>& directories, const fs::path& into) {
  print_text(
      fmt::format("{0}: {1} conditions taken over; the command that solved the shares, without "
                  "--share and with -o {0}, now finds them solved\n",
                  into.string(), merge_below(into, directories)));
  return fine;
}

int run_merge(const MergeArguments& arguments) {
  const fs::path first = arguments.directories.front();
  const std::vector<fs::path> directories(arguments.directories.begin(),
                                          arguments.directories.end());
  const fs::path into = arguments.into.empty() ? first : fs::path(arguments.into);
  if (fs::exists(first / "case.toml")) {
    return merge_results(directories, into);
  }
  if (!is_study(first) && fs::is_directory(first) && !results_below(first).empty()) {
    return merge_choices(directories, into);
  }
  const Study study = study_in(first);
  const StudyPlan plan = plan_study(study, {});
  claim_for_study(into, study);
  const int n = take_variants(into, study, plan, directories);
  print_line(fmt::format("{}: {} variants taken over", into.string(), n));
  return tell_study(into, study, plan);
}

} // namespace

CommandLine declare_merge() {
  const auto merge = std::make_shared<MergeArguments>();
  return {{{"directories",
            &merge->directories,
            "Directories that shares of a study, a case, a ranking or a search were solved into",
            {.is_needed = true}},
           {"-o,--output", &merge->into, "Directory for all of it (default: the first one)"}},
          [merge] { return run_merge(*merge); }};
}

} // namespace tiltfin
