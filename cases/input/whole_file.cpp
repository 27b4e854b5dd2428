#include "cases/input/whole_file.hpp"

#include "cases/input/input_error.hpp"

#include <fstream>
#include <iterator>

namespace tiltfin {

std::string read_whole_file(const std::filesystem::path& path, const std::string& allowed) {
  std::ifstream file(path, std::ios::binary);
  if (!file || std::filesystem::is_directory(path)) {
    throw InputError(path.string() + ": found no file that can be read, allowed " + allowed);
  }
  return {std::istreambuf_iterator<char>(file), std::istreambuf_iterator<char>()};
}

} // namespace tiltfin
