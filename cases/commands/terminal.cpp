#include "cases/commands/terminal.hpp"

#include "cases/commands/command.hpp"

#include <fmt/format.h>

#include <cstdio>
#include <cstdlib>
#include <ctime>
#include <string>

#include <pthread.h>
#include <unistd.h>

namespace tiltfin {
namespace {

std::string left(double seconds) {
  if (seconds <= 0.0) {
    return "";
  }
  return seconds < 90.0 ? fmt::format(", about {:.0f} s left", seconds)
                        : fmt::format(", about {:.0f} min left", seconds / 60.0);
}

} // namespace

Interruption::Interruption() {
  sigemptyset(&signals_);
  sigaddset(&signals_, SIGINT);
  sigaddset(&signals_, SIGTERM);
  pthread_sigmask(SIG_BLOCK, &signals_, nullptr);
  watcher_ = std::jthread([this](const std::stop_token& ending) { wait(ending); });
}

void Interruption::wait(const std::stop_token& ending) {
  const timespec patience{.tv_sec = 0, .tv_nsec = 50'000'000};
  while (!ending.stop_requested()) {
    if (sigtimedwait(&signals_, nullptr, &patience) <= 0) {
      continue;
    }
    if (flag_.exchange(true)) {
      std::_Exit(interrupted);
    }
    fmt::print(stderr, "\nending: what is finished is kept (once more to end at once)\n");
  }
}

ProgressPrinter::ProgressPrinter()
    : is_terminal_(isatty(STDERR_FILENO) == 1), pause_(is_terminal_ ? 100 : 5000) {}

void ProgressPrinter::operator()(const Progress& progress) {
  const auto now = std::chrono::steady_clock::now();
  if (progress.examines != examines_ || progress.adds != adds_) {
    examines_ = progress.examines;
    adds_ = progress.adds;
    last_done_ = 0;
  }
  const bool is_finished = progress.done != last_done_;
  if (!is_finished && now - last_time_ < pause_) {
    return;
  }
  last_time_ = now;
  last_done_ = progress.done;
  const std::string what =
      is_finished ? (examines_ ? "examined" : "done")
                  : fmt::format("step {}, residual {:.1e}", progress.step, progress.residual);
  const std::string line = fmt::format("{}/{} {} {}{}", progress.done, progress.total,
                                       progress.condition, what, left(progress.seconds_left));
  if (is_terminal_) {
    constexpr int length = 24;
    const int full = progress.total > 0 ? length * progress.done / progress.total : 0;
    fmt::print(stderr, "\r\033[K|{:-<{}}{: <{}}| {}", "", full, "", length - full, line);
  } else {
    fmt::print(stderr, "{}\n", line);
  }
  std::fflush(stderr);
}

void ProgressPrinter::end() const {
  if (is_terminal_ && last_done_ >= 0) {
    fmt::print(stderr, "\n");
  }
}

} // namespace tiltfin
