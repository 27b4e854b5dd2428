#include "cases/run/chains.hpp"

#include "cases/file/conditions.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <set>

namespace tiltfin {
namespace {

bool is_chosen(const std::string& id, const std::vector<std::string>& only, bool only_is_whole) {
  return only.empty() || std::any_of(only.begin(), only.end(), [&](const std::string& text) {
           return only_is_whole ? id == text : id.find(text) != std::string::npos;
         });
}

} // namespace

std::vector<Chain> make_chains(const Case& the_case, const std::vector<std::string>& only,
                               bool only_is_whole) {
  std::vector<Chain> chains;
  std::set<std::string> ids;
  bool any = false;
  for (const PanelState& panel : the_case.panels) {
    for (std::size_t k = 0; k < the_case.orientations.size(); ++k) {
      const Orientation& orientation = the_case.orientations[k];
      Chain chain{.panel = &panel,
                  .orientation = &orientation,
                  .section = &panel.section_in(k),
                  .conditions = {}};
      for (const double power : the_case.powers) {
        const std::string id = condition_id(panel.name, orientation.name, power);
        if (!ids.insert(id).second) {
          throw InputError(fmt::format("two conditions would be called {}: panel states, "
                                       "orientations and powers must differ",
                                       id));
        }
        const bool chosen = is_chosen(id, only, only_is_whole);
        any = any || chosen;
        chain.conditions.push_back({.id = id, .power = power, .chosen = chosen, .outcome = {}});
      }
      chains.push_back(std::move(chain));
    }
  }
  if (!any) {
    throw InputError(
        fmt::format("--only: found '{}', which is in no condition's name, allowed parts of {}",
                    fmt::join(only, "', '"), fmt::join(ids, ", ")));
  }
  return chains;
}

bool chooses_conditions(const Case& the_case, const std::vector<std::string>& only) {
  return std::ranges::any_of(make_chains(the_case, {}, false), [&](const Chain& chain) {
    return std::ranges::any_of(chain.conditions, [&](const ChainCondition& condition) {
      return is_chosen(condition.id, only, false);
    });
  });
}

void check_orientations(const Case& the_case, const std::vector<Chain>& chains) {
  for (const Chain& chain : chains) {
    if (any_chosen(chain)) {
      check_in_section(*chain.section, *chain.orientation, the_case.orientations_place);
    }
  }
}

bool any_chosen(const Chain& chain) {
  return std::any_of(chain.conditions.begin(), chain.conditions.end(),
                     [](const ChainCondition& condition) { return condition.chosen; });
}

int n_unsolved(const std::vector<Chain>& chains) {
  int n = 0;
  for (const Chain& chain : chains) {
    for (const ChainCondition& condition : chain.conditions) {
      n += condition.chosen && !condition.outcome ? 1 : 0;
    }
  }
  return n;
}

bool awaits_examination(const ChainCondition& condition) {
  return condition.chosen && condition.outcome &&
         condition.outcome->stability.state == Stability::awaited;
}

Condition condition_of(const Case& the_case, const Chain& chain, double power_w) {
  return {.gravity_x = the_case.gravity * chain.orientation->down[0],
          .gravity_y = the_case.gravity * chain.orientation->down[1],
          .power = power_w};
}

} // namespace tiltfin
