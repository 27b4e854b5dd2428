#include "cases/run/animations.hpp"

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

std::vector<ChosenRecording> telling(const Case& the_case, std::span<const Outcome> outcomes) {
  const Outcome* coolest = nullptr;
  const Outcome* hottest = nullptr;
  const Outcome* restless = nullptr;
  const auto rise = [](const Outcome* outcome) { return outcome->base_rise_mean_k.value; };
  const auto sway = [](const Outcome& outcome) {
    return outcome.fluctuation_k / outcome.base_rise_max_k;
  };
  for (const Outcome& outcome : outcomes) {
    if (!is_solved(outcome.status)) {
      continue;
    }
    if (outcome.status == SolveStatus::time_average && is_listed(outcome) &&
        (restless == nullptr || sway(outcome) > sway(*restless))) {
      restless = &outcome;
    }
    if (outcome.power_w == the_case.powers.back() && std::isfinite(rise(&outcome))) {
      coolest = coolest == nullptr || rise(&outcome) < rise(coolest) ? &outcome : coolest;
      hottest = hottest == nullptr || rise(&outcome) > rise(hottest) ? &outcome : hottest;
    }
  }
  std::vector<ChosenRecording> chosen;
  if (coolest != nullptr) {
    chosen.push_back({coolest, Recording::from_cold});
  }
  if (hottest != coolest) {
    chosen.push_back({hottest, Recording::from_cold});
  }
  if (restless != nullptr) {
    chosen.push_back({restless, Recording::swaying});
  }
  return chosen;
}

} // namespace

std::vector<ChosenRecording> choose_recordings(const Case& the_case,
                                               std::span<const Outcome> outcomes,
                                               const std::vector<std::string>& only) {
  if (only.empty()) {
    return telling(the_case, outcomes);
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
  const SeenFlow known = read_fields(directory / "fields" / (id + ".vtr"), section, outcome);
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
  const fs::path file = directory / "animations" / (id + "-" + name(chosen.recording));
  fs::path svg = file;
  svg += ".svg";
  fs::path csv = file;
  csv += ".csv";
  write_text(csv, rows);
  write_text(svg, svg_file(animation(section, title, frames)));
  return Animated{svg, recorded.flows.size(), recorded.status};
}

} // namespace tiltfin
