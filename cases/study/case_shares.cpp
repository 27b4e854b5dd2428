#include "cases/study/case_shares.hpp"

#include "cases/check/cost.hpp"
#include "cases/file/conditions.hpp"
#include "cases/file/solved_text.hpp"
#include "cases/file/stored.hpp"
#include "cases/input/whole_file.hpp"
#include "cases/run/chains.hpp"
#include "cases/run/pictures.hpp"
#include "cases/run/redraw.hpp"
#include "cases/run/results.hpp"
#include "mesh/index.hpp"
#include "mesh/tensor_mesh.hpp"
#include "post/text/text_file.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <utility>

namespace tiltfin {
namespace {

namespace fs = std::filesystem;

/// Of a chain, in any unit: what its factorisations cost (cases/check/cost.cpp).
double chain_cost(const Case& the_case, const Chain& chain) {
  const TensorMesh mesh = make_mesh(*chain.section, the_case.resolution);
  return std::pow(count_unknowns(the_case, *chain.section, mesh), 1.6) *
         static_cast<double>(chain.conditions.size());
}

/// Takes a file over where it is there; `read` checks it.
void take_file(const fs::path& from, const fs::path& to, const std::string& case_crc32,
               bool is_json) {
  if (!fs::exists(from) || fs::exists(to)) {
    return;
  }
  (void)(is_json ? read_stored_json(from, case_crc32, "a condition")
                 : read_stored_bytes(from, case_crc32, "the state of a condition"));
  write_text(to, read_whole_file(from, "a file of a condition"));
}

/// Everything of one condition; its json, which marks it finished, last.
void take_condition(const fs::path& from, const fs::path& into, const std::string& id,
                    const std::string& case_crc32) {
  for (const std::string& name : {"fields/" + id + ".vtr", "conditions/" + id + ".restart"}) {
    take_file(from / name, into / name, case_crc32, false);
  }
  const std::string name = "conditions/" + id + ".json";
  take_file(from / name, into / name, case_crc32, true);
}

/// Copies what `into` lacks of a directory of the same case; how many conditions.
int take_conditions(const fs::path& from, const fs::path& into, const Case& the_case) {
  const auto solved = [](const Case& other) { return text_that_is_solved(other.tree, true); };
  const Case other = case_of_results(from, from.string());
  if (solved(other) != solved(the_case)) {
    throw InputError(
        fmt::format("{}: found results of another case or of other conditions, allowed "
                    "those of {}",
                    from.string(), the_case.title));
  }
  const OutcomesOnDisk found = outcomes_on_disk(from, other);
  if (!found.refused.empty()) {
    throw InputError(found.refused.front());
  }
  int n = 0;
  for (const Outcome& outcome : found.outcomes) {
    const std::string id = condition_id(outcome.panel, outcome.orientation, outcome.power_w);
    if (!fs::exists(into / "conditions" / (id + ".json"))) {
      take_condition(from, into, id, crc32_of_case(the_case));
      ++n;
    }
  }
  return n;
}

} // namespace

std::vector<std::string> ids_in_share(const Case& the_case, const Share& share) {
  const std::vector<Chain> chains = make_chains(the_case, {}, false);
  if (index(share.of) > chains.size()) {
    throw InputError(fmt::format(
        "--share: found {}/{}, allowed up to {} shares of this case: one for each panel state and "
        "orientation",
        share.number, share.of, chains.size()));
  }
  std::vector<double> costs;
  costs.reserve(chains.size());
  for (const Chain& chain : chains) {
    costs.push_back(chain_cost(the_case, chain));
  }
  const std::vector<int> shares = deal(costs, share.of);
  std::vector<std::string> ids;
  for (std::size_t k = 0; k < chains.size(); ++k) {
    if (shares[k] == share.number - 1) {
      for (const ChainCondition& condition : chains[k].conditions) {
        ids.push_back(condition.id);
      }
    }
  }
  return ids;
}

MergedCase merge_case(const fs::path& into, const std::vector<fs::path>& others) {
  const Case the_case = case_of_results(others.front(), others.front().string());
  claim_directory(into, the_case, true);
  MergedCase merged;
  for (const fs::path& other : others) {
    if (!fs::exists(into) || !fs::equivalent(other, into)) {
      merged.n_taken += take_conditions(other, into, the_case);
    }
  }
  OutcomesOnDisk found = outcomes_on_disk(into, the_case);
  if (!found.refused.empty()) {
    throw InputError(found.refused.front());
  }
  merged.results = results_of(the_case, std::move(found.outcomes));
  for (const Chain& chain : make_chains(the_case, {}, false)) {
    for (const ChainCondition& condition : chain.conditions) {
      if (!fs::exists(into / "conditions" / (condition.id + ".json"))) {
        merged.missing.push_back(condition.id);
      }
    }
  }
  write_tables(into, the_case, merged.results.outcomes, merged.results.trends,
               merged.results.context);
  merged.results.undrawn =
      draw_pictures(into, the_case, merged.results.outcomes, merged.results.trends);
  return merged;
}

} // namespace tiltfin
