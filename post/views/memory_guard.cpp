#include "post/views/memory_guard.hpp"

#include <exception>
#include <mutex>
#include <new>

namespace tiltfin {
namespace {

[[noreturn]] void end_without_memory() {
  try {
    throw std::bad_alloc();
  } catch (...) {
    std::terminate(); // whose handler sees what is at hand
  }
}

/// The handler is the process's, so are these.
struct Guards {
  std::mutex mutex;
  int n = 0;
  std::new_handler before = nullptr;
};

Guards& guards() {
  static Guards all;
  return all;
}

} // namespace

MemoryGuard::MemoryGuard() {
  const std::lock_guard lock(guards().mutex);
  if (guards().n++ == 0) {
    guards().before = std::set_new_handler(end_without_memory);
  }
}

MemoryGuard::~MemoryGuard() {
  const std::lock_guard lock(guards().mutex);
  if (--guards().n == 0) {
    std::set_new_handler(guards().before);
  }
}

} // namespace tiltfin
