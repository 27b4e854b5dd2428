#include "cases/run/progress.hpp"

namespace tiltfin {

void Monitor::expect(int more) {
  const std::lock_guard lock(mutex_);
  total_ += more;
}

void Monitor::step(const std::string& id, const SolveReport& report) {
  const std::lock_guard lock(mutex_);
  report_progress(id, report);
}

void Monitor::finished(const std::string& id, const SolveReport& report) {
  const std::lock_guard lock(mutex_);
  ++done_;
  report_progress(id, report);
}

void Monitor::report_progress(const std::string& id, const SolveReport& report) {
  if (!tell_) {
    return;
  }
  const std::chrono::duration<double> elapsed = std::chrono::steady_clock::now() - start_;
  Progress progress{.examines = examines_,
                    .adds = adds_,
                    .done = done_,
                    .total = total_,
                    .condition = id,
                    .step = report.steps,
                    .residual = report.residual};
  if (done_ > 0) {
    progress.seconds_left = elapsed.count() / done_ * (total_ - done_);
  }
  tell_(progress);
}

} // namespace tiltfin
