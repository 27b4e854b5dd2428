// tiltfin study: a case with keys that vary, solved whole or in shares.
#include "cases/study/study.hpp"

#include "cases/commands/command.hpp"
#include "cases/commands/common_options.hpp"
#include "cases/commands/telling.hpp"
#include "cases/commands/terminal.hpp"
#include "cases/run/parallel.hpp"
#include "cases/study/slurm.hpp"
#include "cases/study/variants.hpp"
#include "post/text/text_file.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <filesystem>
#include <limits>
#include <memory>

namespace tiltfin {
namespace {

namespace fs = std::filesystem;

struct StudyArguments {
  std::string study;
  std::string directory;
  std::string share = "1/1";
  std::string slurm;
  int n_shares = 4;
  int jobs = 0;
  bool only_check = false;
  bool skip_stability = false;
  bool listed_powers_only = false;
  bool keep_files = false;
};

void write_slurm(const StudyArguments& arguments, const Study& study, const StudyPlan& plan,
                 const StudyWork& work) {
  SlurmRequest request;
  request.program = fs::read_symlink("/proc/self/exe").string();
  request.study = fs::absolute(arguments.study).string();
  request.directory = fs::absolute(arguments.directory).string();
  request.n_shares = arguments.n_shares;
  request.jobs = std::max(1, arguments.jobs);
  request.work = work;
  request.keep_files = arguments.keep_files;
  write_text(arguments.slurm, slurm_script(study, plan, request));
  print_text(fmt::format("\nTo submit {} shares: sh {}\n", request.n_shares, arguments.slurm));
}

int run_study(const StudyArguments& arguments) {
  if (arguments.directory.empty() && !arguments.only_check) {
    throw InputError(
        "--output: found nothing, allowed a directory for the results (or --check, which "
        "solves nothing)");
  }
  const Study study = read_study(arguments.study);
  const Share share = share_in(arguments.share, "--share");
  const StudyWork work{.examine_stability = !arguments.skip_stability,
                       .adds_powers = !arguments.listed_powers_only};
  const StudyPlan plan = plan_study(study, work);
  const int threads = threads_for(arguments.jobs, std::numeric_limits<int>::max());
  print_text(plan_text(study, plan, threads));
  if (arguments.only_check) {
    return fine;
  }
  if (!arguments.slurm.empty()) {
    write_slurm(arguments, study, plan, work);
    return fine;
  }
  claim_for_study(arguments.directory, study);
  const Interruption interruption;
  const StudyOptions options{.directory = arguments.directory,
                             .share = share,
                             .jobs = arguments.jobs,
                             .work = work,
                             .keep_files = arguments.keep_files,
                             .stop = &interruption.flag()};
  if (!solve_share(study, plan, options, print_line)) {
    return say_interrupted();
  }
  if (share.of > 1) {
    print_text(fmt::format("\nShare {} of {} is done. When all are: tiltfin merge {}\n",
                           share.number, share.of, arguments.directory));
    return fine;
  }
  return tell_study(arguments.directory, study, plan);
}

} // namespace

CommandLine declare_study() {
  const auto study = std::make_shared<StudyArguments>();
  return {{{"study",
            &study->study,
            "Study file (TOML): case, and [vary] or [[row]]",
            {.is_needed = true}},
           {"-o,--output", &study->directory,
            "Directory for the results; what is finished in it is not solved again"},
           {"--check", &study->only_check, "Say what the study comes to; solve nothing"},
           {"--share", &study->share,
            "Solve one of N parts, K/N such as 2/4; `tiltfin merge` makes one of all"},
           {"--slurm", &study->slurm,
            "Solve nothing: write this file, a script that submits the shares to Slurm"},
           {"--shares",
            &study->n_shares,
            "With --slurm: how many",
            {.bounds = whole(1, 100000), .shows_default = true}},
           jobs_option(study->jobs, "Threads, one per variant (default: all cores; of --slurm: 1)"),
           {"--skip-stability", &study->skip_stability,
            "A quick look: report steady flows without examining whether air leaves them"},
           {"--listed-powers-only", &study->listed_powers_only,
            "Add no powers near the limits to those that the case lists"},
           {"--keep-files", &study->keep_files,
            "Keep all that a solve writes of every variant: fields, pictures, tables"}},
          [study] { return run_study(*study); }};
}

} // namespace tiltfin
