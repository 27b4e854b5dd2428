#pragma once
// Independent pieces of work side by side on threads.

#include <atomic>
#include <functional>

namespace tiltfin {

/// Threads that `jobs` (0: all cores) comes to: never more than there are pieces of work.
[[nodiscard]] int threads_for(int jobs, int n_pieces);

/// Calls work(k, failed) for every k from 0 to n - 1, each once, in any order, on `n_threads`
/// threads; those that have none (any more) do OpenMP tasks of the others, such as fronts of a
/// sparse LU (solver/multifrontal). After a piece has thrown none is begun any more, and `failed`
/// tells those at work that they may end early; when all have ended, the exception of the first
/// piece (by number) that threw is thrown.
void for_each_in_parallel(int n, int n_threads,
                          const std::function<void(int, const std::atomic<bool>& failed)>& work);

} // namespace tiltfin
