#include "cases/study/study_files.hpp"

#include "cases/file/core_limit.hpp"
#include "cases/file/shown.hpp"
#include "post/fits/groups.hpp"
#include "post/text/text_file.hpp"

#include <algorithm>
#include <string>
#include <utility>
#include <vector>

namespace tiltfin {

StudyReport report_of(const std::filesystem::path& directory, const Study& study,
                      const StudyPlan& plan) {
  StudyReport report;
  report.title = study.title;
  report.core = core_limit(study.base);
  report.is_full = study.rows.empty();
  for (const VariedKey& key : study.keys) {
    report.keys.push_back(key.key);
  }
  for (const PlannedVariant& planned : plan.variants) {
    if (!planned.refusal.empty()) {
      continue;
    }
    ++report.n_variants;
    const std::optional<CaseResults> solved = solved_variant(directory, planned);
    if (!solved) {
      ++report.n_missing;
      continue;
    }
    const std::optional<Metal> metal = metal_of(variant_of(study, planned.number).cooler);
    for (const auto& group : groups_by_placing(solved->outcomes)) {
      const Placing placing = placing_of(*group.front());
      const auto trend = std::ranges::find(solved->trends, placing, placing_of<TrendRow>);
      report.rows.push_back({planned.number, values_of(study, planned.number),
                             metal ? metal->mass() : nan, placing.panel, placing.orientation,
                             trend == solved->trends.end() ? SolvedLimit{} : trend->limit});
    }
  }
  return report;
}

void write_study(const std::filesystem::path& directory, const StudyReport& report) {
  std::vector<std::string> shown{"study.csv", "effects.csv"};
  write_text(directory / "study.csv", study_csv(report));
  write_text(directory / "effects.csv", effects_csv(report));
  const std::string chart = study_chart(report);
  if (!chart.empty()) {
    write_text(directory / "study.svg", chart);
    shown.emplace_back("study.svg");
  }
  keep_shown(directory, shown);
}

} // namespace tiltfin
