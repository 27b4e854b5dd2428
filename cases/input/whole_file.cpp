#include "cases/input/whole_file.hpp"

#include "cases/input/input_error.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cerrno>
#include <fstream>
#include <memory>
#include <system_error>

#include <dirent.h>

namespace tiltfin {

std::string read_whole_file(const std::filesystem::path& path, const std::string& allowed,
                            std::uintmax_t largest) {
  std::error_code error;
  if (std::filesystem::exists(path, error) && !std::filesystem::is_regular_file(path, error)) {
    throw InputError(fmt::format("{}: found no file that can be read but a directory or device, "
                                 "allowed {}",
                                 path.string(), allowed));
  }
  std::ifstream file(path, std::ios::binary);
  const std::uintmax_t size = std::filesystem::file_size(path, error);
  if (!file || error) {
    throw InputError(path.string() + ": found no file that can be read, allowed " + allowed);
  }
  if (size > largest) {
    throw InputError(fmt::format("{}: found a file of {} bytes, allowed {} of at most {} bytes",
                                 path.string(), size, allowed, largest));
  }
  std::string text(size, '\0');
  file.read(text.data(), static_cast<std::streamsize>(size));
  text.resize(static_cast<std::size_t>(file.gcount()));
  return text;
}

// By hand: the library's iterator ends the program where memory runs out.
std::vector<std::string> names_in(const std::filesystem::path& directory) {
  const std::unique_ptr<DIR, int (*)(DIR*)> open(opendir(directory.c_str()), closedir);
  if (!open) {
    if (errno == ENOENT || errno == ENOTDIR) {
      return {};
    }
    throw std::filesystem::filesystem_error("cannot read", directory,
                                            {errno, std::generic_category()});
  }
  std::vector<std::string> names;
  while (const dirent* entry = readdir(open.get())) {
    const std::string name(entry->d_name);
    if (name != "." && name != "..") {
      names.push_back(name);
    }
  }
  std::ranges::sort(names);
  return names;
}

} // namespace tiltfin
