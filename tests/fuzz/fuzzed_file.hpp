#pragma once
// Bytes as a file that the readers can open, without a trace on any disk.

#include <cstdint>
#include <span>
#include <stdexcept>
#include <string>

#include <fcntl.h>
#include <sys/mman.h>
#include <unistd.h>

namespace tiltfin::tests {

/// A file in memory, opened by its path as any other. Stored files carry their name: the first that
/// lives is always called 900, whatever else the fuzzer has open.
class FuzzedFile {
public:
  explicit FuzzedFile(std::span<const std::uint8_t> bytes) {
    constexpr int lowest = 900;
    const int made = memfd_create("fuzzed", 0);
    descriptor_ = fcntl(made, F_DUPFD, lowest);
    close(made);
    put(bytes);
  }
  ~FuzzedFile() { close(descriptor_); }
  FuzzedFile(const FuzzedFile&) = delete;
  FuzzedFile& operator=(const FuzzedFile&) = delete;
  FuzzedFile(FuzzedFile&&) = delete;
  FuzzedFile& operator=(FuzzedFile&&) = delete;

  /// Other bytes in the place of those that it holds.
  void put(std::span<const std::uint8_t> bytes) const {
    const auto size = static_cast<ssize_t>(bytes.size());
    if (ftruncate(descriptor_, 0) != 0 ||
        pwrite(descriptor_, bytes.data(), bytes.size(), 0) != size) {
      throw std::runtime_error("no file in memory");
    }
  }

  [[nodiscard]] std::string path() const { return "/proc/self/fd/" + std::to_string(descriptor_); }

private:
  int descriptor_ = -1;
};

/// A property that holds for every input; the fuzzer keeps the input that breaks it.
inline void must(bool holds) {
  if (!holds) {
    __builtin_trap();
  }
}

} // namespace tiltfin::tests
