#include "cases/study/plan.hpp"

#include "cases/check/cost.hpp"
#include "cases/file/stored.hpp"
#include "cases/run/chains.hpp"
#include "cases/run/parallel.hpp"
#include "mesh/index.hpp"
#include "post/fits/groups.hpp"
#include "post/text/table_text.hpp"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>

namespace tiltfin {
namespace {

/// Of a variant's file, by condition [bytes]: 12 kB of a drawn block, 22 kB of face-on-block, 30 kB
/// of edge-on-block.
constexpr double bytes_per_condition = 25000.0;

/// From "key '...'" on: the place before it is the base's file, whose line means nothing here.
std::string without_place(const std::string& message) {
  const std::size_t key = message.find("key '");
  return key == std::string::npos ? message : message.substr(key);
}

/// What variants cost, -1 of impossible ones.
std::vector<double> costs_of(const StudyPlan& plan) {
  std::vector<double> costs;
  for (const PlannedVariant& variant : plan.variants) {
    costs.push_back(variant.refusal.empty() ? variant.seconds : -1.0);
  }
  return costs;
}

std::string named(const Study& study, int number) {
  std::string words;
  const std::vector<std::string> values = values_of(study, number);
  for (std::size_t k = 0; k < values.size(); ++k) {
    if (!values[k].empty()) {
      words += fmt::format("{}{} = {}", words.empty() ? "" : ", ", study.keys[k].key, values[k]);
    }
  }
  return words;
}

std::string time_text(double seconds) {
  constexpr double hour = 3600.0;
  constexpr double minute = 60.0;
  return seconds < 2.0 * minute ? fmt::format("{:.0f} s", seconds)
         : seconds < 2.0 * hour ? fmt::format("{:.0f} min", seconds / minute)
                                : fmt::format("{:.1f} h", seconds / hour);
}

} // namespace

StudyPlan plan_study(const Study& study, const StudyWork& work) {
  StudyPlan plan;
  plan.adds_powers = study.base.adds_powers && work.adds_powers;
  plan.variants.resize(index(n_variants(study)));
  for_each_in_parallel(
      n_variants(study), threads_for(0, n_variants(study)), [&](int k, const std::atomic<bool>&) {
        PlannedVariant& planned = plan.variants[index(k)];
        planned.number = k;
        try {
          Case the_case = variant_of(study, k);
          the_case.adds_powers = the_case.adds_powers && work.adds_powers;
          const std::vector<Chain> chains = make_chains(the_case, {}, false);
          check_orientations(the_case, chains);
          for (const Chain& chain : chains) {
            planned.n_conditions += static_cast<int>(chain.conditions.size());
          }
          const Cost cost = expected_cost(the_case, 1);
          planned.seconds = work.examine_stability ? cost.seconds : cost.first_seconds;
          planned.case_crc32 = crc32_of_case(the_case);
        } catch (const InputError& error) {
          planned.refusal = without_place(error.what());
        }
      });
  for (const PlannedVariant& variant : plan.variants) {
    plan.n_conditions += variant.n_conditions;
    plan.seconds += variant.seconds;
  }
  const auto possible = std::ranges::find(plan.variants, "", &PlannedVariant::refusal);
  if (possible == plan.variants.end()) {
    throw InputError(fmt::format("{}: found no variant that fits its case, {}: the first ({}): {}",
                                 study.file, study.base.file, named(study, 0),
                                 plan.variants.front().refusal));
  }
  return plan;
}

std::vector<int> variants_in(const StudyPlan& plan, const Share& share) {
  const std::vector<int> shares = deal(costs_of(plan), share.of);
  std::vector<int> numbers;
  for (const PlannedVariant& variant : plan.variants) {
    if (shares[index(variant.number)] == share.number - 1) {
      numbers.push_back(variant.number);
    }
  }
  std::ranges::stable_sort(numbers, [&](int a, int b) {
    return plan.variants[index(a)].seconds > plan.variants[index(b)].seconds;
  });
  return numbers;
}

double seconds_of(const StudyPlan& plan, const Share& share) {
  double seconds = 0.0;
  for (const int number : variants_in(plan, share)) {
    seconds += plan.variants[index(number)].seconds;
  }
  return seconds;
}

std::string plan_text(const Study& study, const StudyPlan& plan, int threads) {
  const auto n_possible = std::ranges::count(plan.variants, "", &PlannedVariant::refusal);
  const auto n_impossible = static_cast<std::ptrdiff_t>(plan.variants.size()) - n_possible;
  std::string text = study.title + "\n";
  for (const VariedKey& key : study.keys) {
    text += fmt::format("  {}: {} values\n", key.key, key.values.size());
  }
  text += fmt::format(
      "  {} variants, {} conditions{}; about {} of one core, {} on {} here; {:.1f} MB\n",
      n_possible, plan.n_conditions,
      plan.adds_powers ? ", and some powers more near the limits" : "", time_text(plan.seconds),
      time_text(plan.seconds / threads), threads, 1e-6 * bytes_per_condition * plan.n_conditions);
  if (n_impossible > 0) {
    text += fmt::format("  {} impossible, left out:\n", n_impossible);
  }
  constexpr std::size_t most_told = 20;
  const auto reasons =
      groups_by(plan.variants, [](const auto& variant) { return variant.refusal; });
  std::size_t n_told = 0;
  for (const auto& group : reasons) {
    const PlannedVariant& first = *group.front();
    if (first.refusal.empty() || ++n_told > most_told) {
      continue;
    }
    text +=
        wrapped("    ",
                fmt::format("{}{}: {}", named(study, first.number),
                            group.size() == 1 ? "" : fmt::format(", and {} more", group.size() - 1),
                            first.refusal),
                6);
  }
  if (n_told > most_told) {
    text += fmt::format("    and {} other reasons\n", n_told - most_told);
  }
  return text;
}

} // namespace tiltfin
