#pragma once
// Bytes as a file that the readers can open, without a trace on any disk.

#include <cstdint>
#include <span>
#include <stdexcept>
#include <string>

#include <sys/mman.h>
#include <unistd.h>

namespace tiltfin::tests {

/// A file in memory, opened by its path as any other.
class FuzzedFile {
public:
  explicit FuzzedFile(std::span<const std::uint8_t> bytes)
      : descriptor_(memfd_create("fuzzed", 0)) {
    const auto size = static_cast<ssize_t>(bytes.size());
    if (descriptor_ == -1 || write(descriptor_, bytes.data(), bytes.size()) != size) {
      throw std::runtime_error("no file in memory");
    }
  }
  ~FuzzedFile() { close(descriptor_); }
  FuzzedFile(const FuzzedFile&) = delete;
  FuzzedFile& operator=(const FuzzedFile&) = delete;
  FuzzedFile(FuzzedFile&&) = delete;
  FuzzedFile& operator=(FuzzedFile&&) = delete;

  [[nodiscard]] std::string path() const { return "/proc/self/fd/" + std::to_string(descriptor_); }

private:
  int descriptor_;
};

/// A property that holds for every input; the fuzzer keeps the input that breaks it.
inline void must(bool holds) {
  if (!holds) {
    __builtin_trap();
  }
}

} // namespace tiltfin::tests
