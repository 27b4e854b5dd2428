#include "cases/study/competitors.hpp"

#include "cases/study/variants.hpp"
#include "mesh/index.hpp"

#include <fmt/format.h>

#include <string>
#include <utility>

namespace tiltfin {
namespace {

/// "17 fin_gap_mm 3, finish bare-aluminium": the number and what varies, keys without their tables.
std::string name_of(const Study& study, int number) {
  std::string name = fmt::format("{}", number);
  const std::vector<std::string> values = values_of(study, number);
  for (std::size_t k = 0; k < values.size(); ++k) {
    if (!values[k].empty()) {
      const std::string& key = study.keys[k].key;
      name += fmt::format("{} {} {}", k == 0 ? "" : ",", key.substr(key.rfind('.') + 1), values[k]);
    }
  }
  return name;
}

} // namespace

std::vector<Competitor> competitors_in_study(const std::filesystem::path& directory) {
  const Study study = study_in(directory);
  const StudyPlan plan = plan_study(study, {});
  std::vector<Competitor> competitors;
  int n_missing = 0;
  for (const PlannedVariant& planned : plan.variants) {
    if (!planned.refusal.empty()) {
      continue;
    }
    std::optional<CaseResults> results = solved_variant(directory, planned);
    n_missing += results ? 0 : 1;
    if (results) {
      competitors.push_back({name_of(study, planned.number), variant_of(study, planned.number),
                             true, std::move(*results)});
    }
  }
  if (n_missing > 0) {
    throw InputError(
        fmt::format("{0}: found {1} of {2} variants without a result, allowed none; `tiltfin study "
                    "{0}/study.toml` with its directory solves them",
                    directory.string(), n_missing, competitors.size() + index(n_missing)));
  }
  return competitors;
}

} // namespace tiltfin
