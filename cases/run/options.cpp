#include "cases/run/options.hpp"

#include <algorithm>
#include <thread>

namespace tiltfin {

int threads_for(int jobs, int n_chains) {
  const int cores = std::max(1, static_cast<int>(std::thread::hardware_concurrency()));
  return std::clamp(jobs > 0 ? jobs : cores, 1, std::max(1, n_chains));
}

} // namespace tiltfin
