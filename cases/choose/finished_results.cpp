#include "cases/choose/finished_results.hpp"

#include "cases/file/solved_text.hpp"
#include "cases/run/chains.hpp"
#include "cases/run/limit_search.hpp"
#include "cases/run/results.hpp"

#include <fmt/format.h>

#include <utility>

namespace tiltfin {

std::optional<FinishedResults> read_finished(const Case& the_case, const std::string& directory) {
  if (directory.empty()) {
    return std::nullopt;
  }
  FinishedResults from{case_of_results(directory, "--from " + directory), directory, {}};
  if (text_that_is_solved(from.the_case.tree, false) != text_that_is_solved(the_case.tree, false)) {
    throw InputError(fmt::format("--from {}: found results of another case (its case.toml differs "
                                 "from {} in more than title, limit temperature, [bench], "
                                 "[spacing] and the lists of conditions), allowed results of the "
                                 "same one",
                                 directory, the_case.file));
  }
  for (const Chain& chain : make_chains(from.the_case, {}, false)) {
    for (const ChainCondition& condition : chain.conditions) {
      if (std::optional<Outcome> outcome =
              finished_outcome(directory, from.the_case, condition.id)) {
        from.outcomes.push_back(std::move(*outcome));
      }
    }
  }
  from.outcomes = with_added_on_disk(from.the_case, directory, std::move(from.outcomes));
  return from;
}

} // namespace tiltfin
