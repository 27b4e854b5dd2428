#include "cases/run/redraw.hpp"

#include "cases/file/stored.hpp"
#include "cases/input/whole_file.hpp"
#include "cases/run/pictures.hpp"
#include "cases/run/results.hpp"
#include "cases/run/run.hpp"

#include <algorithm>
#include <optional>
#include <tuple>
#include <utility>

namespace tiltfin {

OutcomesOnDisk outcomes_on_disk(const std::filesystem::path& directory, const Case& the_case) {
  const auto place = [&the_case](const Outcome& outcome) {
    const auto panel = std::ranges::find(the_case.panels, outcome.panel, &PanelState::name);
    const auto orientation =
        std::ranges::find(the_case.orientations, outcome.orientation, &Orientation::name);
    return std::tuple(panel - the_case.panels.begin(), orientation - the_case.orientations.begin(),
                      outcome.power_w);
  };
  OutcomesOnDisk found;
  for (const std::filesystem::path name : names_in(directory / "conditions")) {
    if (name.extension() != ".json") {
      continue;
    }
    try {
      const std::optional<Outcome> outcome = finished_outcome(directory, the_case, name.stem());
      if (outcome && solved_section(the_case, *outcome) != nullptr) {
        found.outcomes.push_back(*outcome);
      }
    } catch (const StoredInputError& error) {
      found.refused.emplace_back(error.what());
    }
  }
  std::ranges::sort(found.outcomes, {}, place);
  std::ranges::sort(found.refused);
  return found;
}

std::vector<std::string> redraw_pictures(const std::filesystem::path& directory,
                                         const Case& the_case) {
  OutcomesOnDisk found = outcomes_on_disk(directory, the_case);
  const CaseResults results = results_of(the_case, std::move(found.outcomes));
  std::vector<std::string> sentences =
      draw_pictures(directory, the_case, results.outcomes, results.trends);
  sentences.insert(sentences.end(), found.refused.begin(), found.refused.end());
  return sentences;
}

} // namespace tiltfin
