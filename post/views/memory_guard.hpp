#pragma once
// VTK does not survive an exception on its way through it: what it had begun to make is destroyed
// half made. Behind this a lack of memory ends the program at once, with its own message.

namespace tiltfin {

/// While one lives, on any thread, an allocation that fails is the end (std::terminate with
/// std::bad_alloc as the exception at hand) rather than an exception. Files are written under a
/// temporary name, so what is finished is kept.
class MemoryGuard {
public:
  MemoryGuard();
  ~MemoryGuard();
  MemoryGuard(const MemoryGuard&) = delete;
  MemoryGuard& operator=(const MemoryGuard&) = delete;
  MemoryGuard(MemoryGuard&&) = delete;
  MemoryGuard& operator=(MemoryGuard&&) = delete;
};

} // namespace tiltfin
