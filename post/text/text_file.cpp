#include "post/text/text_file.hpp"

#include <cerrno>
#include <fstream>
#include <system_error>

namespace tiltfin {

namespace {

/// A file that goes when it has not got another name by then, whatever ended its writing.
struct Temporary {
  std::filesystem::path path;

  explicit Temporary(const std::filesystem::path& last) : path(last) { path += ".part"; }
  ~Temporary() {
    std::error_code ignored;
    std::filesystem::remove(path, ignored);
  }
  Temporary(const Temporary&) = delete;
  Temporary& operator=(const Temporary&) = delete;
  Temporary(Temporary&&) = delete;
  Temporary& operator=(Temporary&&) = delete;
};

} // namespace

void write_text(const std::filesystem::path& path, const std::string& text) {
  const Temporary temporary(path);
  std::error_code failure;
  errno = 0;
  {
    std::ofstream file(temporary.path, std::ios::binary);
    file << text;
    file.close();
    if (file.fail()) {
      failure = std::error_code(errno == 0 ? EIO : errno, std::generic_category());
    }
  }
  if (!failure) {
    std::filesystem::rename(temporary.path, path, failure);
  }
  if (failure) {
    throw WriteError("cannot write " + path.string() + ": " + failure.message());
  }
}

} // namespace tiltfin
