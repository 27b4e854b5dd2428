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
#include <utility>

namespace tiltfin {
namespace {

namespace fs = std::filesystem;

/// Of a chain, in any unit: what its factorisations cost (cases/check/cost.cpp).
double chain_cost(const Case& the_case, const Chain& chain) {
  const TensorMesh mesh = make_mesh(*chain.section, the_case.resolution);
  return static_cast<double>(count_unknowns_of_flow(the_case, *chain.section, mesh)) *
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
  for (const std::string& name :
       {"fields/" + id + ".vtr", "conditions/" + id + ".restart", "conditions/" + id + ".state"}) {
    take_file(from / name, into / name, case_crc32, false);
  }
  const std::string name = "conditions/" + id + ".json";
  take_file(from / name, into / name, case_crc32, true);
}

struct SharedChain {
  std::size_t of_case = 0;
  Chain chain;
};

/// The chains of a share of several cases.
std::vector<SharedChain> shared_chains(std::span<const Case> cases, const Share& share) {
  std::vector<SharedChain> all;
  std::vector<double> costs;
  for (std::size_t k = 0; k < cases.size(); ++k) {
    for (Chain& chain : make_chains(cases[k], {}, false)) {
      costs.push_back(chain_cost(cases[k], chain));
      all.push_back({k, std::move(chain)});
    }
  }
  if (index(share.of) > all.size()) {
    throw InputError(fmt::format(
        "--share: found {}/{}, allowed up to {} shares of {}: one for each panel state and "
        "orientation",
        share.number, share.of, all.size(), cases.size() == 1 ? "this case" : "these cases"));
  }
  const std::vector<int> shares = deal(costs, share.of);
  std::vector<SharedChain> own;
  for (std::size_t k = 0; k < all.size(); ++k) {
    if (shares[k] == share.number - 1) {
      own.push_back(std::move(all[k]));
    }
  }
  return own;
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

std::vector<std::vector<std::string>> ids_in_share(std::span<const Case> cases,
                                                   const Share& share) {
  const std::vector<SharedChain> all = shared_chains(cases, share);
  std::vector<std::vector<std::string>> ids(cases.size());
  for (const SharedChain& shared : all) {
    for (const ChainCondition& condition : shared.chain.conditions) {
      ids[shared.of_case].push_back(condition.id);
    }
  }
  return ids;
}

std::vector<std::string> ids_in_share(const Case& the_case, const Share& share) {
  return ids_in_share(std::span(&the_case, 1), share).front();
}

std::vector<Placing> placings_in_share(const Case& the_case, const Share& share) {
  std::vector<Placing> placings;
  for (const SharedChain& shared : shared_chains(std::span(&the_case, 1), share)) {
    placings.push_back({shared.chain.panel->name, shared.chain.orientation->name});
  }
  return placings;
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

std::vector<fs::path> results_below(const fs::path& directory) {
  std::vector<fs::path> found;
  for (const fs::directory_entry& entry : fs::recursive_directory_iterator(directory)) {
    if (entry.path().filename() == "case.toml") {
      found.push_back(fs::relative(entry.path().parent_path(), directory));
    }
  }
  std::ranges::sort(found);
  return found;
}

int merge_below(const fs::path& into, const std::vector<fs::path>& others) {
  int n = 0;
  for (const fs::path& other : others) {
    if (fs::exists(into) && fs::equivalent(other, into)) {
      continue;
    }
    for (const fs::path& place : results_below(other)) {
      fs::create_directories((into / place).parent_path());
      const Case the_case = case_of_results(other / place, (other / place).string());
      claim_directory(into / place, the_case, true);
      n += take_conditions(other / place, into / place, the_case);
    }
  }
  return n;
}

} // namespace tiltfin
