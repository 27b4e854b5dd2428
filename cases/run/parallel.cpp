#include "cases/run/parallel.hpp"

#include "mesh/index.hpp"

#include <algorithm>
#include <exception>
#include <thread>
#include <vector>

namespace tiltfin {

int threads_for(int jobs, int n_pieces) {
  const int cores = std::max(1, static_cast<int>(std::thread::hardware_concurrency()));
  return std::clamp(jobs > 0 ? jobs : cores, 1, std::max(1, n_pieces));
}

void for_each_in_parallel(int n, int n_threads,
                          const std::function<void(int, const std::atomic<bool>&)>& work) {
  std::vector<std::exception_ptr> failures(index(n));
  std::atomic<bool> failed = false;
  const auto attempt = [&](int k) {
    if (failed) {
      return;
    }
    try {
      work(k, failed);
    } catch (...) {
      failures[index(k)] = std::current_exception();
      failed = true;
    }
  };
  if (n_threads == 1) { // no team of its own: tasks of the work go to the one that is there
    for (int k = 0; k < n; ++k) {
      attempt(k);
    }
  } else {
#pragma omp parallel for schedule(dynamic, 1) num_threads(n_threads)
    for (int k = 0; k < n; ++k) {
      attempt(k);
    }
  }
  for (const std::exception_ptr& failure : failures) {
    if (failure) {
      std::rethrow_exception(failure);
    }
  }
}

} // namespace tiltfin
