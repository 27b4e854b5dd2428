#include "cases/commands/telling.hpp"

#include "cases/commands/command.hpp"
#include "cases/commands/common_options.hpp"
#include "cases/run/report_file.hpp"
#include "cases/study/study_files.hpp"

#include <fmt/format.h>

#include <algorithm>

namespace tiltfin {

int code_of(const CaseResults& results) {
  const bool any = std::ranges::any_of(results.outcomes, [](const Outcome& outcome) {
    return is_listed(outcome) &&
           (outcome.status == SolveStatus::not_converged || is_outside(outcome));
  });
  const bool any_limit = std::ranges::any_of(
      results.trends, [](const TrendRow& row) { return row.limit.standing == Standing::outside; });
  return any || any_limit ? not_converged : fine;
}

void tell_page(const std::filesystem::path& directory) {
  Remarks left_out;
  print_text(
      fmt::format("\nAll of it as a page: {}\n", write_report(directory, {}, &left_out).string()));
  for (const std::string& remark : left_out.all()) {
    print_line(remark);
  }
}

int tell_study(const std::filesystem::path& directory, const Study& study, const StudyPlan& plan) {
  const StudyReport report = report_of(directory, study, plan);
  write_study(directory, report);
  print_text("\n" + study_table(report));
  if (report.n_missing > 0) {
    print_error(fmt::format("tiltfin: {}: found {} of {} variants without a result, allowed none: "
                            "tiltfin study with the same directory solves them\n",
                            directory.string(), report.n_missing, report.n_variants));
  }
  const bool any =
      report.n_missing > 0 || std::ranges::any_of(report.rows, [](const StudyRow& row) {
        return row.limit.status == SolveStatus::not_converged ||
               row.limit.standing == Standing::outside;
      });
  return any ? not_converged : fine;
}

void say_share_is_done(const Share& share, const std::string& directory) {
  print_text(fmt::format("\nShare {0} of {1} is done. When all are: tiltfin merge {2} ... -o {2} "
                         "where they are in several directories, then the same command without "
                         "--share, which finds them solved\n",
                         share.number, share.of, directory));
}

} // namespace tiltfin
