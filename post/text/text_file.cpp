#include "post/text/text_file.hpp"

#include <cerrno>
#include <fstream>
#include <system_error>

namespace tiltfin {

void refuse_directory(const std::filesystem::path& path) {
  throw WriteError("cannot write the file " + path.string() +
                   ": a directory is in its place; move it away or remove it, and give the same "
                   "command again: what is finished is kept");
}

namespace {

/// A file that goes when it has not got another name by then, whatever ended its writing.
struct Temporary {
  std::filesystem::path path;

  explicit Temporary(const std::filesystem::path& last) : path(last) { path += ".part"; }
  ~Temporary() {
    std::error_code ignored;
    if (!std::filesystem::is_directory(path, ignored)) { // somebody else's
      std::filesystem::remove(path, ignored);
    }
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
    std::error_code ignored;
    for (const std::filesystem::path& place : {path, temporary.path}) {
      if (std::filesystem::is_directory(place, ignored)) {
        refuse_directory(place);
      }
    }
    throw WriteError("cannot write " + path.string() + ": " + failure.message());
  }
}

} // namespace tiltfin
