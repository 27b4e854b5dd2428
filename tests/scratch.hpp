#pragma once
// Room for the files of a test.

#include <filesystem>
#include <string>

#include <unistd.h>

namespace tiltfin::tests {

/// A fresh directory of this process, removed with everything in it at the end.
class Scratch {
public:
  explicit Scratch(const std::string& name)
      : path_(std::filesystem::temp_directory_path() /
              ("tiltfin-" + name + "-" + std::to_string(getpid()))) {
    std::filesystem::remove_all(path_);
    std::filesystem::create_directories(path_);
  }
  ~Scratch() { std::filesystem::remove_all(path_); }
  Scratch(const Scratch&) = delete;
  Scratch& operator=(const Scratch&) = delete;

  [[nodiscard]] std::filesystem::path operator/(const std::string& name) const {
    return path_ / name;
  }

private:
  std::filesystem::path path_;
};

} // namespace tiltfin::tests
