#pragma once
// Animations of a finished case: which, solved in time, drawn, on disk.

#include "cases/file/case.hpp"
#include "cases/run/recording.hpp"
#include "post/numbers/outcome.hpp"

#include <atomic>
#include <filesystem>
#include <functional>
#include <optional>
#include <span>
#include <string>
#include <vector>

namespace tiltfin {

struct ChosenRecording {
  const Outcome* outcome = nullptr;
  Recording recording = Recording::from_cold;
};

/// Of conditions whose id contains one of `only`: from cold, means over time swaying as well.
/// Without `only` the two that say most at the largest listed power that was solved: the starts
/// from cold of the coolest and the hottest base, and the swaying of the mean that fluctuates most.
/// Throws InputError when `only` chooses none.
[[nodiscard]] std::vector<ChosenRecording> choose_recordings(std::span<const Outcome> outcomes,
                                                             const std::vector<std::string>& only);

struct Animated {
  std::filesystem::path svg;
  std::size_t frames = 0;
  SolveStatus status = SolveStatus::not_converged;
};

/// Writes animations/<id>-<recording>.svg and .csv (time_s, base_rise_k) of the directory. Nothing
/// when it was stopped, or not even the first frames could be solved. Throws InputError where the
/// condition's fields are missing or damaged, WriteError when it cannot write.
[[nodiscard]] std::optional<Animated> write_animation(const std::filesystem::path& directory,
                                                      const Case& the_case,
                                                      const ChosenRecording& chosen,
                                                      const std::atomic<bool>* stop,
                                                      const std::function<void()>& step);

} // namespace tiltfin
