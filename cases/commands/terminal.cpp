#include "cases/commands/terminal.hpp"

#include "cases/commands/command.hpp"
#include "cases/commands/common_options.hpp"
#include "post/text/text_file.hpp"

#include <fmt/format.h>

#include <array>
#include <cerrno>
#include <cstdio>
#include <cstdlib>
#include <ctime>
#include <string>
#include <system_error>

#include <fcntl.h>
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

void guard_streams() {
  std::signal(SIGPIPE, SIG_IGN);
  // Each the wrong way round: what is closed stays without effect. open takes the lowest number.
  constexpr std::array wrong_way{O_WRONLY, O_RDONLY, O_RDONLY};
  for (int stream = STDIN_FILENO; stream <= STDERR_FILENO; ++stream) {
    if (fcntl(stream, F_GETFD) == -1 &&
        open("/dev/null", wrong_way[static_cast<std::size_t>(stream)]) == -1) {
      std::_Exit(cannot_write);
    }
  }
}

void check_output() {
  errno = 0;
  const bool is_flushed = std::fflush(stdout) == 0;
  if (!is_flushed || std::ferror(stdout) != 0) {
    const std::error_code reason(errno == 0 ? EIO : errno, std::generic_category());
    throw WriteError("cannot write standard output: " + reason.message() +
                     "; what was printed there is lost, files are whole");
  }
}

Interruption::Interruption() {
  sigemptyset(&signals_);
  sigaddset(&signals_, SIGINT);
  sigaddset(&signals_, SIGTERM);
  struct sigaction hangup {};
  if (sigaction(SIGHUP, nullptr, &hangup) == 0 && hangup.sa_handler != SIG_IGN) {
    sigaddset(&signals_, SIGHUP); // ignored stays ignored: nohup
  }
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
    print_error("\nending: what is finished is kept (once more to end at once)\n");
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
    std::fputs(
        fmt::format("\r\033[K|{:-<{}}{: <{}}| {}", "", full, "", length - full, line).c_str(),
        stderr);
  } else {
    print_error(fmt::format("{}\n", line));
  }
  std::fflush(stderr);
}

void ProgressPrinter::end() const {
  if (is_terminal_ && last_done_ >= 0) {
    print_error("\n");
  }
}

} // namespace tiltfin
