#pragma once
// One panel state at one power, turned through all angles, each solved from the one before it: with
// the angle rising, then falling. Where two steady flows coexist, the two ways keep to different
// ones. A whole turn goes on into a second one until the flow is that of the first.

#include "cases/file/tilts.hpp"
#include "cases/run/solve_condition.hpp"
#include "post/reports/tilt_solved.hpp"

#include <filesystem>
#include <map>
#include <optional>
#include <vector>

namespace tiltfin {

/// An angle reached one way.
struct TiltStep {
  Outcome outcome;                  ///< its second flow: what the other way came to
  bool is_as_before = true;         ///< the flow of the turn before, or of the start of this one
  std::optional<Solution> solution; ///< finest mesh; where it is not at hand, it is on disk
  std::filesystem::path file;       ///< without its ending; empty: not on disk
};

/// The orientation at any angle; its name has it from 0 to below 360 degrees.
[[nodiscard]] Orientation turned_to(double tilt_deg);

class TiltSweep {
public:
  /// All must outlive it. `run.options` skips stability.
  TiltSweep(const RunContext& run, const PanelState& panel, double power_w, const Tilts& tilts);

  /// Both ways through all angles; false when it was stopped.
  [[nodiscard]] bool turn();

  /// One more angle, each way from its nearest neighbour; false when it was stopped.
  [[nodiscard]] bool add(double tilt_deg);

  [[nodiscard]] const PanelState& panel() const { return panel_; }

  /// What is known, angles ascending.
  [[nodiscard]] std::vector<TiltPoint> points() const;

private:
  using Steps = std::map<double, TiltStep>; ///< by angle

  /// What a step's state is compared with; null: nothing.
  struct Against {
    TiltStep* before = nullptr; ///< sets is_as_before
    double before_deg = 0.0;
    TiltStep* other_way = nullptr; ///< sets the second flow
  };

  [[nodiscard]] bool go(SweepWay way, TiltStep& start, double start_deg,
                        const std::vector<double>& order, Steps& steps, Steps* other_way);
  [[nodiscard]] std::optional<TiltStep> step(double tilt_deg, SweepWay way, int turn,
                                             TiltStep* from, double from_deg,
                                             const Against& against);
  [[nodiscard]] const Solution& solution_of(TiltStep& step, double tilt_deg) const;
  [[nodiscard]] std::optional<TiltStep> kept(const std::filesystem::path& file) const;
  void keep(const TiltStep& step) const;

  const RunContext& run_;
  const PanelState& panel_;
  double power_w_;
  const Tilts& tilts_;
  std::optional<TiltStep> seed_; ///< of the first angle, from rest
  Steps rising_;
  Steps falling_;
};

} // namespace tiltfin
