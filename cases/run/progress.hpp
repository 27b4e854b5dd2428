#pragma once
// How far a run is, told to its caller while it goes on.

#include "solver/steady.hpp"

#include <chrono>
#include <functional>
#include <mutex>
#include <string>

namespace tiltfin {

/// All conditions are solved, then what is steady is examined, then powers are added near the
/// limits: each counts from 0.
struct Progress {
  bool examines = false;
  bool adds = false;
  int done = 0;
  int total = 0;
  std::string condition; ///< id of the condition that reported
  int step = 0;          ///< its current step
  double residual = 0.0;
  double seconds_left = 0.0; ///< expected, 0 when unknown
};

/// Counts what is done and tells the caller, one thread at a time.
class Monitor {
public:
  /// Of `total` conditions; `tell` may be empty, else it must outlive this.
  Monitor(int total, bool examines, const std::function<void(const Progress&)>& tell)
      : tell_(tell), total_(total), examines_(examines) {}

  /// Of powers that are added, `expected` of them.
  static Monitor of_added(int expected, const std::function<void(const Progress&)>& tell) {
    return {expected, tell};
  }

  /// There are more than was thought.
  void expect(int more);

  /// A condition is at work.
  void step(const std::string& id, const SolveReport& report);

  /// A condition is on disk.
  void finished(const std::string& id, const SolveReport& report);

private:
  Monitor(int expected, const std::function<void(const Progress&)>& tell)
      : tell_(tell), total_(expected), adds_(true) {}
  void report_progress(const std::string& id, const SolveReport& report);

  const std::function<void(const Progress&)>& tell_;
  std::mutex mutex_;
  std::chrono::steady_clock::time_point start_ = std::chrono::steady_clock::now();
  int total_ = 0;
  bool examines_ = false;
  bool adds_ = false;
  int done_ = 0;
};

} // namespace tiltfin
