#pragma once
// What a running command tells the terminal and hears from it.

#include "cases/run/progress.hpp"

#include <atomic>
#include <chrono>
#include <csignal>
#include <stop_token>
#include <thread>

namespace tiltfin {

/// First of all: a closed standard stream is taken by one that cannot be written, or a file of
/// results would get its number and its lines; a reader that goes away ends nothing (SIGPIPE).
void guard_streams();

/// Throws WriteError where something printed on standard output was lost.
void check_output();

/// Turns Ctrl-C, a termination request and a terminal that goes away (unless nohup has it ignored)
/// into a flag while it lives; the second one ends the program at once. Threads started later
/// inherit the blocked signals.
class Interruption {
public:
  Interruption();

  [[nodiscard]] const std::atomic<bool>& flag() const { return flag_; }

private:
  void wait(const std::stop_token& ending);

  sigset_t signals_{};
  std::atomic<bool> flag_ = false;
  std::jthread watcher_; // last: ends before the flag goes
};

/// Prints progress on stderr: one line rewritten on a terminal, else a line per finished condition
/// and one every few seconds in between.
class ProgressPrinter {
public:
  ProgressPrinter();
  void operator()(const Progress& progress);
  void end() const;

private:
  bool is_terminal_;
  std::chrono::milliseconds pause_;
  std::chrono::steady_clock::time_point last_time_ = std::chrono::steady_clock::now();
  int last_done_ = 0;
  bool examines_ = false;
  bool adds_ = false;
};

} // namespace tiltfin
