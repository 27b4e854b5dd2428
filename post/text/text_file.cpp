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

void write_text(const std::filesystem::path& path, const std::string& text) {
  std::filesystem::path temporary = path;
  temporary += ".part";
  std::error_code failure;
  errno = 0;
  {
    std::ofstream file(temporary, std::ios::binary);
    file << text;
    file.close();
    if (file.fail()) {
      failure = std::error_code(errno == 0 ? EIO : errno, std::generic_category());
    }
  }
  if (!failure) {
    std::filesystem::rename(temporary, path, failure);
  }
  if (failure) {
    std::error_code ignored;
    for (const std::filesystem::path& place : {path, temporary}) {
      if (std::filesystem::is_directory(place, ignored)) {
        refuse_directory(place);
      }
    }
    std::filesystem::remove(temporary, ignored);
    throw WriteError("cannot write " + path.string() + ": " + failure.message());
  }
}

} // namespace tiltfin
