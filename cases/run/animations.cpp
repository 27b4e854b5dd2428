#include "cases/run/animations.hpp"

#include "cases/file/shown.hpp"
#include "cases/file/stored.hpp"
#include "cases/run/pictures.hpp"
#include "post/text/text_file.hpp"
#include "post/views/animation.hpp"
#include "post/views/fields.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace tiltfin {
namespace {

namespace fs = std::filesystem;

std::string id_of(const Outcome& outcome) {
  return condition_id(outcome.panel, outcome.orientation, outcome.power_w);
}

std::string caption_of(const RecordedFlow& recorded, std::size_t k, Recording recording) {
  std::string text = recording == Recording::from_cold ? "after " : "at ";
  text += time_words(recorded.times_s[k]);
  if (recording == Recording::from_cold && std::isfinite(recorded.base_rises_k[k])) {
    text += fmt::format(": base {:.1f} K above the room", recorded.base_rises_k[k]);
  }
  return text;
}

double rise_of(const Outcome& outcome) {
  return outcome.base_rise_mean_k.value;
}

double sway_of(const Outcome& outcome) {
  return outcome.fluctuation_k / outcome.base_rise_max_k;
}

std::vector<ChosenRecording> telling(std::span<const Outcome> outcomes) {
  std::vector<const Outcome*> solved;
  std::vector<const Outcome*> restless;
  double largest_w = 0.0;
  for (const Outcome& outcome : outcomes) {
    if (is_listed(outcome) && is_solved(outcome.status) && std::isfinite(rise_of(outcome))) {
      solved.push_back(&outcome);
      largest_w = std::max(largest_w, outcome.power_w);
    }
    if (is_listed(outcome) && outcome.status == SolveStatus::time_average) {
      restless.push_back(&outcome);
    }
  }
  std::erase_if(solved, [&](const Outcome* outcome) { return outcome->power_w != largest_w; });
  std::vector<ChosenRecording> chosen;
  if (!solved.empty()) {
    const auto [coolest, hottest] = std::ranges::minmax_element(
        solved, {}, [](const Outcome* outcome) { return rise_of(*outcome); });
    chosen.push_back({*coolest, Recording::from_cold});
    if (coolest != hottest) {
      chosen.push_back({*hottest, Recording::from_cold});
    }
  }
  if (!restless.empty()) {
    chosen.push_back({*std::ranges::max_element(
                          restless, {}, [](const Outcome* outcome) { return sway_of(*outcome); }),
                      Recording::swaying});
  }
  return chosen;
}

/// The fields of a condition; those that are missing or not as they were written are wrong input.
SeenFlow known_flow(const fs::path& path, const Case& the_case, const Outcome& outcome) {
  try {
    return read_fields(path, *solved_section(the_case, outcome), outcome, crc32_of_case(the_case));
  } catch (const FieldsError& error) {
    throw InputError(fmt::format("{}; without the condition's json in conditions/, `tiltfin solve "
                                 "--resume` solves it again",
                                 error.what()));
  }
}

} // namespace

std::vector<ChosenRecording> choose_recordings(std::span<const Outcome> outcomes,
                                               const std::vector<std::string>& only) {
  if (only.empty()) {
    return telling(outcomes);
  }
  std::vector<ChosenRecording> chosen;
  for (const Outcome& outcome : outcomes) {
    const std::string id = id_of(outcome);
    const bool is_chosen = std::ranges::any_of(
        only, [&](const std::string& text) { return id.find(text) != std::string::npos; });
    if (!is_chosen || !is_solved(outcome.status)) {
      continue;
    }
    chosen.push_back({&outcome, Recording::from_cold});
    if (outcome.status == SolveStatus::time_average) {
      chosen.push_back({&outcome, Recording::swaying});
    }
  }
  if (chosen.empty()) {
    throw InputError(fmt::format("--only: found no solved condition whose name contains {}, "
                                 "allowed names as in conditions/",
                                 fmt::join(only, " or ")));
  }
  return chosen;
}

std::optional<Animated> write_animation(const fs::path& directory, const Case& the_case,
                                        const ChosenRecording& chosen,
                                        const std::atomic<bool>* stop,
                                        const std::function<void()>& step) {
  const Outcome& outcome = *chosen.outcome;
  const std::string id = id_of(outcome);
  const Section& section = *solved_section(the_case, outcome);
  const SeenFlow known = known_flow(directory / "fields" / (id + ".vtr"), the_case, outcome);
  const RecordedFlow recorded =
      record_flow(the_case, section, outcome, known, chosen.recording, stop, step);
  constexpr std::size_t fewest = 2;
  if (recorded.status == SolveStatus::stopped || recorded.flows.size() < fewest) {
    return std::nullopt;
  }
  std::vector<AnimationFrame> frames;
  std::string rows = "time_s,base_rise_k\n";
  for (std::size_t k = 0; k < recorded.flows.size(); ++k) {
    frames.push_back({&recorded.flows[k], caption_of(recorded, k, chosen.recording)});
    rows += fmt::format("{:.6g},{:.6g}\n", recorded.times_s[k], recorded.base_rises_k[k]);
  }
  const std::string what =
      chosen.recording == Recording::from_cold
          ? "from cold"
          : fmt::format("swaying, mean rise {:.1f} K", outcome.base_rise_mean_k.value);
  const std::string title =
      fmt::format("{} · {} · {} W, {}", outcome.panel, outcome.orientation, outcome.power_w, what);
  std::error_code error;
  fs::create_directories(directory / "animations", error); // a file there is named by write_text
  const std::string file = "animations/" + id + "-" + name(chosen.recording);
  write_text(directory / (file + ".csv"), rows);
  write_text(directory / (file + ".svg"), svg_file(animation(section, title, frames)));
  keep_shown(directory, {file + ".csv", file + ".svg"});
  return Animated{directory / (file + ".svg"), recorded.flows.size(), recorded.status};
}

} // namespace tiltfin
