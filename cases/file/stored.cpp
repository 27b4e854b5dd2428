#include "cases/file/stored.hpp"

#include "cases/file/solved_text.hpp"
#include "cases/input/whole_file.hpp"
#include "post/text/text_file.hpp"

#include <fmt/format.h>

#include <string_view>
#include <utility>

namespace tiltfin {
namespace {

namespace fs = std::filesystem;

StoredAs stored_as(const fs::path& path, const std::string& case_crc32) {
  return {path.filename().string(), case_crc32};
}

} // namespace

std::string crc32_of_case(const Case& the_case) {
  return crc32_of(text_that_is_solved(the_case.tree, false));
}

std::string crc32_of_case_in(const fs::path& directory) {
  const fs::path copy = directory / "case.toml";
  if (!fs::exists(copy)) {
    return "";
  }
  try {
    const TomlValue tree =
        parse_toml(read_whole_file(copy, "the case of the results beside it"), copy.string());
    return crc32_of(text_that_is_solved(tree, false));
  } catch (const InputError&) {
    return ""; // said where the case itself is needed
  }
}

void refuse_stored(const fs::path& path, const std::string& found) {
  const std::string what = fmt::format("{}: {}", path.string(), found);
  throw StoredInputError(
      fmt::format("{}; write it anew with the command that made it (`tiltfin solve --resume` "
                  "solves again only what is damaged), or put back the file as it was",
                  what),
      what);
}

void write_stored_json(const fs::path& path, const std::string& text,
                       const std::string& case_crc32) {
  write_text(path, stored_json(text, stored_as(path, case_crc32)));
}

void write_stored_bytes(const fs::path& path, std::string bytes, const std::string& case_crc32) {
  write_text(path, stored_bytes(std::move(bytes), stored_as(path, case_crc32)));
}

std::string read_stored_json(const fs::path& path, const std::string& case_crc32,
                             const std::string& is) {
  std::string text = read_whole_file(path, is);
  try {
    check_stored_json(text, stored_as(path, case_crc32));
  } catch (const StoredError& error) {
    refuse_stored(path, error.what());
  }
  return text;
}

std::string read_stored_bytes(const fs::path& path, const std::string& case_crc32,
                              const std::string& is) {
  std::string text = read_whole_file(path, is);
  try {
    text.resize(check_stored_bytes(text, stored_as(path, case_crc32)).size());
  } catch (const StoredError& error) {
    refuse_stored(path, error.what());
  }
  return text;
}

} // namespace tiltfin
