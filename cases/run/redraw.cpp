#include "cases/run/redraw.hpp"

#include "cases/input/whole_file.hpp"
#include "cases/run/pictures.hpp"
#include "cases/run/results.hpp"
#include "cases/run/run.hpp"

#include <algorithm>
#include <optional>
#include <tuple>

namespace tiltfin {

std::vector<Outcome> outcomes_on_disk(const std::filesystem::path& directory,
                                      const Case& the_case) {
  const auto place = [&the_case](const Outcome& outcome) {
    const auto panel = std::ranges::find(the_case.panels, outcome.panel, &PanelState::name);
    const auto orientation =
        std::ranges::find(the_case.orientations, outcome.orientation, &Orientation::name);
    return std::tuple(panel - the_case.panels.begin(), orientation - the_case.orientations.begin(),
                      outcome.power_w);
  };
  std::vector<Outcome> outcomes;
  for (const std::filesystem::path name : names_in(directory / "conditions")) {
    if (name.extension() != ".json") {
      continue;
    }
    const std::optional<Outcome> outcome = finished_outcome(directory, name.stem());
    if (outcome && solved_section(the_case, *outcome) != nullptr) {
      outcomes.push_back(*outcome);
    }
  }
  std::ranges::sort(outcomes, {}, place);
  return outcomes;
}

std::vector<std::string> redraw_pictures(const std::filesystem::path& directory,
                                         const Case& the_case) {
  const CaseResults results = results_of(the_case, outcomes_on_disk(directory, the_case));
  return draw_pictures(directory, the_case, results.outcomes, results.trends);
}

} // namespace tiltfin
